#pragma once
/// MQTT topic filters, by the rules of MQTT Version 5.0 (OASIS Standard), section 4.7. Pure functions.

#include <string_view>

namespace gyled::sensors {

/// Does this topic match this filter? $-topics are not matched by a leading wildcard. An empty one matches
/// nothing. Precondition: `topic_filter_valid(filter)`; otherwise the answer means nothing.
[[nodiscard]] bool topic_matches(std::string_view filter, std::string_view topic);
/// 1 to 65,535 bytes without NUL; + only for a whole level, # only for the whole end.
[[nodiscard]] bool topic_filter_valid(std::string_view filter);

}  // namespace gyled::sensors
