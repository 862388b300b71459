#include "daemon/alarms/alarm.hpp"

#include <array>

namespace gyled::alarms {
namespace {
constexpr std::array<std::string_view, 4> priorities{"low", "medium", "high", "critical"};
constexpr std::array<std::string_view, 6> states{"cleared",      "pending",   "raised",
                                                 "acknowledged", "returning", "shelved"};
}  // namespace

std::string_view name(Priority p) {
    return priorities.at(static_cast<std::size_t>(p));
}
std::string_view name(State s) {
    return states.at(static_cast<std::size_t>(s));
}
std::optional<Priority> priority_named(std::string_view text) {
    for (std::size_t i = 0; i < priorities.size(); ++i)
        if (priorities[i] == text) return static_cast<Priority>(i);
    return std::nullopt;
}

}  // namespace gyled::alarms
