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
    Duration clock_on_delay = 5min;    ///< a machine that has just booted asks for the time first
    Duration sensor_on_delay = 10min;  ///< a device that has just booted, likewise
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
            .text = impairment == nullptr ? std::string{} : impairment->text + "."};
}

template <const Titles& titles>
Message returned(const MessageContext& context) {
    return {.title = title(context, titles.returned),
            .text = "It was so for " + display::duration_text(context.lasted) + "."};
}

constexpr Titles store_failing{"Nothing can be stored", "Storing works again"};
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
    rule<store_failing>({.name = "store_failing",
                         .meaning = "the database takes nothing: what is measured now may be forgotten",
                         .priority = Priority::high,
                         .safety = false},
                        parameters.store_on_delay,
                        "Pressure is still watched. First look for room on the disk that holds the database, "
                        "and whether it can be written."),
    rule<clock_unset>(
        {.name = "clock_unset",
         .meaning = "the machine does not know the time: readings wait to be stored until it does",
         .priority = Priority::medium,
         .safety = false},
        parameters.clock_on_delay,
        "Pressure is still watched. First look whether the machine reaches a time server (timedatectl), or "
        "set "
        "its clock."),
    rule<clock_jumped>(
        {.name = "clock_jumped",
         .meaning = "the machine's clock leapt within the last hour; the watch counts by the steady clock",
         .priority = Priority::low,
         .safety = false},
        Duration::zero(),
        "The watch goes on. First look whether the machine's date is right now, and who sets it "
        "(timedatectl)."),
    rule<sensor_clock_off>(
        {.name = "sensor_clock_off",
         .meaning = "a sensor's own clock is wrong: its readings are dated by ours",
         .priority = Priority::low,
         .safety = false},
        parameters.sensor_on_delay,
        "Its readings count as news and get the right time. First look at the sensor's time zone and time "
        "server."),
};

}  // namespace

std::span<const Rule> impairment_rules() {
    return rules;
}

}  // namespace gyled::alarms
