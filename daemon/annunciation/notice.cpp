#include "daemon/annunciation/notice.hpp"

#include <algorithm>
#include <array>

#include "daemon/alarms/rules.hpp"
#include "daemon/base/stage_words.hpp"
#include "daemon/base/text.hpp"

namespace gyled::annunciation {
namespace {

constexpr std::array<std::string_view, 4> kinds{"raised", "returned", "information", "drill"};

std::string milliseconds(Timestamp at) {
    return std::to_string(at.time_since_epoch().count());
}

std::string next_words(const StageEnd& end) {
    if (!end.next) return "It was the last stage of the plan.";
    return "Next in the plan: " + base::spoken(*end.next) + ". Move on when you are ready: gyle batch next " +
           end.vessel;
}

/// Sentences that may be missing, one after the other.
std::string joined(std::initializer_list<std::string_view> sentences) {
    std::string out;
    for (const std::string_view sentence : sentences) {
        if (!out.empty() && !sentence.empty()) out += ' ';
        out += sentence;
    }
    return out;
}

std::string joined_id(std::initializer_list<std::string> parts) {
    std::string out;
    for (const std::string& part : parts) out += (out.empty() ? "" : "/") + part;
    return out;
}

/// An alarm begins with what to do: on a locked phone little more is seen. News begins with itself.
std::string words_of(const alarms::Transition& step, const Letterhead& letterhead) {
    const std::string signature = letterhead.signature(step.batch, step.at);
    if (step.state != alarms::AlarmState::raised) return joined({step.text, signature});
    const std::string_view aid = alarms::first_aid(step);
    if (alarms::is_information(step.rule)) return joined({step.text, aid, signature});
    const std::string_view action = alarms::first_action(aid);
    const std::size_t rest = std::min(action.size() + 1, aid.size());
    return joined({action, step.text, aid.substr(rest), signature});
}

}  // namespace

std::string Letterhead::signature(const std::string& batch, Timestamp at) const {
    std::string out;
    for (const std::string& part : {batch, site})
        if (!part.empty()) out += part + ", ";
    return out + display.local(at) + ".";
}

std::string_view name(Notice::Kind k) {
    return kinds.at(static_cast<std::size_t>(k));
}

std::optional<Notice::Kind> kind_named(std::string_view text) {
    if (text == "over") return Notice::Kind::returned;
    const auto found = std::find(kinds.begin(), kinds.end(), text);
    if (found == kinds.end()) return std::nullopt;
    return static_cast<Notice::Kind>(found - kinds.begin());
}

Notice notice_of(const alarms::Transition& step, const Letterhead& letterhead) {
    const bool begins = step.state == alarms::AlarmState::raised;
    const std::string kind{begins ? alarms::name(step.priority) : name(Notice::Kind::returned)};
    return {.id = step.alarm + "/" + kind + "/" + milliseconds(step.at),
            .thread = step.alarm,
            .kind = alarms::is_information(step.rule) ? Notice::Kind::information
                    : begins                          ? Notice::Kind::raised
                                                      : Notice::Kind::returned,
            .vessel = step.vessel,
            .rule = step.rule,
            .priority = step.priority,
            .title = step.title,
            .text = words_of(step, letterhead),
            .at = step.at,
            .recipients = {}};
}

Notice again_notice(const alarms::Transition& step, const std::string& present_text, Timestamp now,
                    const Letterhead& letterhead) {
    alarms::Transition still = step;
    still.state = alarms::AlarmState::raised;
    still.at = now;
    if (!present_text.empty()) still.text = present_text;
    Notice notice = notice_of(still, letterhead);
    notice.id = step.alarm + "/again/" + milliseconds(now);
    return notice;
}

Notice digest_notice(const std::string& vessel, const std::vector<Kept>& kept, Timestamp now,
                     const Letterhead& letterhead) {
    const Kept& gravest = *std::max_element(
        kept.begin(), kept.end(), [](const Kept& a, const Kept& b) { return a.priority < b.priority; });
    Notice out;
    out.id = (vessel.empty() ? "watch" : vessel) + "/digest/" + gravest.recipient + "/" + milliseconds(now);
    out.thread = out.id;
    out.kind = Notice::Kind::information;
    out.vessel = vessel;
    out.rule = "digest";
    out.priority = gravest.priority;
    out.title = base::shortened(kept.size() == 1
                                    ? gravest.title
                                    : std::to_string(kept.size()) + " from the quiet hours: " + gravest.title,
                                base::title_characters);
    for (const Kept& each : kept)
        out.text +=
            letterhead.display.local(each.at) + ": " + each.title + (each.stands ? " (stands)" : "") + ".\n";
    out.text += letterhead.signature({}, now);
    out.at = now;
    out.recipients = {gravest.recipient};
    return out;
}

Notice stage_end_notice(const StageEnd& end, const Letterhead& letterhead) {
    const std::string stage = base::spoken(end.stage) + " stage";
    const std::string id =
        end.vessel + "/stage_end/" + std::to_string(end.index) + "/" + milliseconds(end.at);
    return {.id = id,
            .thread = id,
            .kind = Notice::Kind::information,
            .vessel = end.vessel,
            .rule = "stage_end",
            .priority = base::is_brew_day(end.stage) ? alarms::Priority::medium : alarms::Priority::low,
            .title = base::headline(end.vessel_name, ", " + stage + ": " + end.why),
            .text = base::capitalised(stage) + ": " + end.why + ". " +
                    letterhead.signature(end.batch_name, end.at) + " " + next_words(end),
            .at = end.at,
            .recipients = {}};
}

Notice stage_call_notice(const StageCall& call, const Letterhead& letterhead) {
    const std::string id =
        joined_id({call.vessel, call.rule, std::to_string(call.index), call.headline, milliseconds(call.at)});
    return {.id = id,
            .thread = id,
            .kind = Notice::Kind::information,
            .vessel = call.vessel,
            .rule = call.rule,
            .priority = alarms::Priority::medium,
            .title = base::headline(call.vessel_name, ": " + call.headline),
            .text = joined({call.text, letterhead.signature(call.batch_name, call.at)}),
            .at = call.at,
            .recipients = {}};
}

}  // namespace gyled::annunciation
