#include <algorithm>
#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"

// What of the watch itself does not work, as an alarm each. The edges say that it is so (base::Impairment);
// how long it may be so before it rings, and what to do first, stands here.
namespace gyled::alarms {
namespace {

using namespace std::chrono_literals;

struct ImpairmentParameters {
    Duration store_on_delay = 10s;     ///< a disk that is slow once is ordinary; a full one stays full
    Duration spool_on_delay = 10s;     ///< as for the store
    Duration rival_on_delay = 10s;     ///< each throws the other out within seconds
    Duration delivery_on_delay = 0s;   ///< notify/reachability has had its patience
    Duration clock_on_delay = 5min;    ///< a machine that has just booted asks for the time first
    Duration sensor_on_delay = 10min;  ///< a device that has just booted, likewise
    Duration at_once{0};               ///< what is lost is lost
    Duration off_delay = 1min;         ///< what fails again within a minute was not mended
};
constexpr ImpairmentParameters parameters;

struct Titles {
    std::string_view raised, returned;
};

Evaluation stands(const EvaluationInput& input) {
    return {.condition = input.impairment != nullptr ? Condition::beyond : Condition::within,
            .at = input.now.at};
}

/// "phone: messages do not arrive" when there are several of a kind.
std::string title(const MessageContext& context, std::string_view words) {
    return context.input.subject.empty()
               ? std::string{words}
               : base::headline(std::string{context.input.subject}, ": " + std::string{words});
}

template <const Titles& titles>
Message raised(const MessageContext& context) {
    const base::Impairment* impairment = context.input.impairment;
    return {.title = title(context, titles.raised),
            .text = impairment == nullptr ? std::string{} : base::capitalised(impairment->text) + "."};
}

template <const Titles& titles>
Message returned(const MessageContext& context) {
    return {.title = title(context, titles.returned),
            .text = "It was so for " + display::duration_text(context.lasted) + "."};
}

constexpr Titles store_failing{"Nothing can be stored", "Storing works again"};
constexpr Titles readings_lost{"readings were lost", "no further readings were lost"};
constexpr Titles spool_failing{"Readings are no longer safe from a crash",
                               "Readings are safe from a crash again"};
constexpr Titles broker_session_lost{"The broker did not keep our session", "The broker keeps our session"};
constexpr Titles rival_client{"Another client uses our name at the broker",
                              "Our name at the broker is ours again"};
constexpr Titles store_renewed{"The database was put aside", "The database has been in use for a day"};
constexpr Titles readings_unstored{"Readings wait outside the database", "All readings are stored"};
constexpr Titles delivery_failing{"messages do not arrive", "messages arrive again"};
constexpr Titles clock_unset{"The time is not known: nothing is stored", "The time is known again"};
constexpr Titles clock_jumped{"The clock jumped", "The clock has not jumped for an hour"};
constexpr Titles sensor_clock_off{"its clock is wrong", "its clock is right again"};

template <const Titles& titles>
constexpr Rule rule(RuleInfo info, Duration on_delay, std::string_view first_aid) {
    return {.info = info,
            .about = Rule::About::each_impairment,
            .on_delay = on_delay,
            .off_delay = parameters.off_delay,
            .explained_by = {},
            .first_aid = first_aid,
            .evaluate = stands,
            .raised = raised<titles>,
            .returned = returned<titles>};
}

constexpr std::array rules{
    rule<store_failing>(
        {.name = "store_failing",
         .meaning = "the database takes nothing: what is measured now may be forgotten",
         .priority = Priority::high,
         .safety = false},
        parameters.store_on_delay,
        "Make room on the disk that holds the database, and see that it can be written. Pressure "
        "is still watched."),
    rule<clock_unset>(
        {.name = "clock_unset",
         .meaning = "the machine does not know the time: readings wait to be stored until it does",
         .priority = Priority::medium,
         .safety = false},
        parameters.clock_on_delay,
        "See that the machine reaches a time server (timedatectl), or set its clock. Pressure is still "
        "watched."),
    rule<clock_jumped>(
        {.name = "clock_jumped",
         .meaning = "the machine's clock leapt within the last hour; the watch counts by the steady clock",
         .priority = Priority::low,
         .safety = false},
        Duration::zero(),
        "See whether the machine's date is right now, and who sets it (timedatectl). The watch goes on."),
    rule<sensor_clock_off>({.name = "sensor_clock_off",
                            .meaning = "a sensor's own clock is wrong: its readings are dated by ours",
                            .priority = Priority::low,
                            .safety = false},
                           parameters.sensor_on_delay,
                           "Set the sensor's time zone and time server right. Its readings count as news and "
                           "get the right time."),
    rule<readings_lost>({.name = "readings_lost",
                         .meaning = "something that sensors sent was not kept",
                         .priority = Priority::medium,
                         .safety = false},
                        parameters.at_once,
                        "Look at the vessel's own gauge if the gap falls into a time that matters. What is "
                        "measured now is watched."),
    rule<spool_failing>(
        {.name = "spool_failing",
         .meaning = "messages are not written to the spool: a crash would lose those not yet in "
                    "the database",
         .priority = Priority::medium,
         .safety = false},
        parameters.spool_on_delay,
        "Make room on the disk that holds the spool, and see that its folder can be written. Everything is "
        "still "
        "watched."),
    rule<broker_session_lost>({.name = "broker_session_lost",
                               .meaning = "the broker kept nothing for us while we were away",
                               .priority = Priority::medium,
                               .safety = false},
                              parameters.at_once,
                              "Let the broker keep sessions over its restart (mosquitto: persistence true), "
                              "and long enough. What is "
                              "measured now is watched."),
    rule<rival_client>(
        {.name = "rival_client",
         .meaning = "another client uses our id: each hears a part of the messages only",
         .priority = Priority::high,
         .safety = false},
        parameters.rival_on_delay,
        "Read the vessel's own gauge: a part of the readings does not come here. Then find the "
        "other client and end it, or give one of the two another client_id in [broker]."),
    rule<store_renewed>({.name = "store_renewed",
                         .meaning = "the database could not be used and was put aside: a fresh one is in use",
                         .priority = Priority::high,
                         .safety = false},
                        Duration{},
                        "See whether the running batches are as they should be, and start again what is "
                        "missing. Keep the file "
                        "that was put aside until nothing is missed. Pressure is still watched."),
    rule<readings_unstored>({.name = "readings_unstored",
                             .meaning = "the database failed for so long that readings had to stay outside",
                             .priority = Priority::medium,
                             .safety = false},
                            Duration{},
                            "Mend what keeps the database from being written, then restart gyled."),
    rule<delivery_failing>(
        {.name = "delivery_failing",
         .meaning = "a messenger does not get through: three attempts in vain, or two minutes",
         .priority = Priority::high,
         .safety = false},
        parameters.delivery_on_delay,
        "Look at the vessels yourself, or at the page: alarms may reach nobody this way. Check the network, "
        "then "
        "the messenger's address and token in the configuration."),
};

}  // namespace

std::span<const Rule> impairment_rules() {
    return rules;
}

}  // namespace gyled::alarms
