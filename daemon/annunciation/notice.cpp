#include "daemon/annunciation/notice.hpp"

#include <algorithm>
#include <array>

#include "daemon/alarms/rule.hpp"
#include "daemon/alarms/rules.hpp"

namespace gyled::annunciation {
namespace {

constexpr std::array<std::string_view, 4> kinds{"raised", "over", "information", "drill"};

bool is_information(std::string_view rule) {
    const auto rules = alarms::built_in_rules();
    return std::any_of(rules.begin(), rules.end(),
                       [&](const alarms::Rule* one) { return one->info.name == rule && one->information; });
}

}  // namespace

std::string_view name(Notice::Kind k) {
    return kinds.at(static_cast<std::size_t>(k));
}

std::optional<Notice> notice_for(const alarms::Transition& transition) {
    if (!transition.rings) return std::nullopt;
    if (transition.state != alarms::State::raised && transition.state != alarms::State::normal)
        return std::nullopt;
    const bool begins = transition.state == alarms::State::raised;
    Notice notice{
        .id = {},
        .thread = transition.alarm,
        .kind = is_information(transition.rule) ? Notice::Kind::information
                : begins                        ? Notice::Kind::raised
                                                : Notice::Kind::over,
        .vessel = transition.vessel,
        .rule = transition.rule,
        .priority = transition.priority,  // also when over: whoever was urgent enough to hear the beginning
        .title = transition.title,
        .text = transition.text,
        .at = transition.at,
        .recipients = {}};
    const auto seconds = std::chrono::floor<std::chrono::seconds>(transition.at).time_since_epoch().count();
    notice.id = transition.alarm + (begins ? "/" + std::string(alarms::name(transition.priority)) : "/over") +
                "/" + std::to_string(seconds);
    const std::string_view advice = begins ? alarms::first_aid(transition.rule) : std::string_view{};
    if (!advice.empty()) notice.text.append(" ").append(advice);
    return notice;
}

}  // namespace gyled::annunciation
