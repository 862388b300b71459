#pragma once
/// What became of a message: readings, and why there are not more of them.

#include <string>
#include <vector>

#include "sensors/reading.hpp"

namespace gyled::sensors {

/// Why a payload gave no usable reading; each reason is a counter: "not_a_number", "no_such_pointer", ...
struct Reject {
    std::string sensor;  ///< empty when no sensor claims the topic, or the probe that it speaks of
    std::string topic;
    std::string reason;  ///< short_snake_case, a counter's name
    std::string detail;  ///< a sentence that names the place: "expected a number, found a string at /sg"
};

/// All that one message yields; never empty on both sides unless it was a word on an availability topic.
struct Intaken {
    /// Those of quality `accepted` or `last_known`, and judged-out ones with the quality that says why.
    std::vector<Reading> readings;
    /// Also one for each reading judged out, so that every loss is counted once.
    std::vector<Reject> rejects;
};

}  // namespace gyled::sensors
