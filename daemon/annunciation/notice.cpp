#include "daemon/annunciation/notice.hpp"

#include <algorithm>
#include <array>

#include "daemon/alarms/rules.hpp"
#include "daemon/base/text.hpp"

namespace gyled::annunciation {
namespace {

constexpr std::array<std::string_view, 4> kinds{"raised", "returned", "information", "drill"};

std::string milliseconds(Timestamp at) {
    return std::to_string(at.time_since_epoch().count());
}

std::string next_words(const StageEnd& end) {
    if (!end.next) return "It was the last stage of the plan.";
    return "Next in the plan: " + base::spoken(base::name(*end.next)) +
           ". Move on when you are ready: gyle batch next " + end.vessel;
}

}  // namespace

std::string_view name(Notice::Kind k) {
    return kinds.at(static_cast<std::size_t>(k));
}

std::optional<Notice::Kind> kind_named(std::string_view text) {
    if (text == "over") return Notice::Kind::returned;
    const auto found = std::find(kinds.begin(), kinds.end(), text);
    if (found == kinds.end()) return std::nullopt;
    return static_cast<Notice::Kind>(found - kinds.begin());
}

Notice notice_of(const alarms::Transition& step) {
    const bool begins = step.state == alarms::AlarmState::raised;
    const std::string kind{begins ? alarms::name(step.priority) : name(Notice::Kind::returned)};
    const std::string_view advice = begins ? alarms::first_aid(step.rule) : std::string_view{};
    return {.id = step.alarm + "/" + kind + "/" + milliseconds(step.at),
            .thread = step.alarm,
            .kind = alarms::is_information(step.rule) ? Notice::Kind::information
                    : begins                          ? Notice::Kind::raised
                                                      : Notice::Kind::returned,
            .vessel = step.vessel,
            .rule = step.rule,
            .priority = step.priority,
            .title = step.title,
            .text = advice.empty() ? step.text : step.text + " " + std::string{advice},
            .at = step.at,
            .recipients = {}};
}

Notice stage_end_notice(const StageEnd& end, const display::Display& display) {
    const std::string stage = base::spoken(base::name(end.stage)) + " stage";
    const std::string id =
        end.vessel + "/stage_end/" + std::to_string(end.index) + "/" + milliseconds(end.at);
    return {.id = id,
            .thread = id,
            .kind = Notice::Kind::information,
            .vessel = end.vessel,
            .rule = "stage_end",
            .priority = alarms::Priority::low,
            .title = base::headline(end.vessel_name, ", " + stage + ": " + end.why),
            .text = end.batch_name + " (" + stage + "): " + end.why + " since " + display.local(end.at) +
                    ". " + next_words(end),
            .at = end.at,
            .recipients = {}};
}

}  // namespace gyled::annunciation
