#pragma once
/// What each row of the table must come to.

#include <span>
#include <string_view>

namespace gyled::pressure_worlds {

struct Target {
    enum class Kind {
        interval,  ///< the share of 90 % intervals that hold: 85 to 95 %
        score,     ///< the interval score: below the chart's
        error,     ///< the median error: at most `bound`
        every,     ///< as it must be in every world
        hardly,    ///< otherwise than it must be in at most `bound` of the worlds
    };
    std::string_view rows;  ///< all whose name begins so
    Kind kind{};
    double bound = 0;
    std::string_view unit{};  ///< of errors and amounts
    std::string_view rule{};  ///< that must exist for the row to mean anything
};

/// In the order of the table. A row belongs to each target that it begins like.
[[nodiscard]] std::span<const Target> targets();

}  // namespace gyled::pressure_worlds
