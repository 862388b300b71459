#include "sensors/topic.hpp"

namespace gyled::sensors {
namespace {

/// Cuts the first level off `rest`; nothing is left behind when it was the last one.
std::string_view take_level(std::string_view& rest, bool& more) {
    const std::size_t slash = rest.find('/');
    more = slash != std::string_view::npos;
    const std::string_view level = rest.substr(0, slash);
    rest = more ? rest.substr(slash + 1) : std::string_view{};
    return level;
}

constexpr std::size_t longest_topic = 65'535;  // bytes: the two-byte length in front of an MQTT string

}  // namespace

bool topic_matches(std::string_view filter, std::string_view topic) {
    if (filter.empty() || topic.empty()) return false;
    if (topic.front() == '$' && (filter.front() == '+' || filter.front() == '#')) return false;
    bool more_filter = true;
    bool more_topic = true;
    while (more_filter && more_topic) {
        const std::string_view wanted = take_level(filter, more_filter);
        if (wanted == "#") return true;
        const std::string_view level = take_level(topic, more_topic);
        if (wanted != "+" && wanted != level) return false;
    }
    // "sport/#" also matches "sport" itself.
    return more_filter ? filter == "#" : !more_topic;
}

bool topic_filter_valid(std::string_view filter) {
    if (filter.empty() || filter.size() > longest_topic || filter.find('\0') != std::string_view::npos)
        return false;
    bool more = true;
    while (more) {
        const std::string_view level = take_level(filter, more);
        if (level == "+" || (level == "#" && !more)) continue;
        if (level.find_first_of("+#") != std::string_view::npos) return false;
    }
    return true;
}

}  // namespace gyled::sensors
