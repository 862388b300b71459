#pragma once
/// Why there is no number: the answer of a decoder, of a calibration and of a judge.

#include <string>

namespace gyled::sensors {

/// A value, never an exception: sensors talk nonsense every day.
struct Refusal {
    std::string reason;  ///< short_snake_case, a counter's name; one of those that the function lists
    std::string detail;  ///< a sentence that names the place; always UTF-8, at most some hundred bytes
};

}  // namespace gyled::sensors
