#pragma once
/// What each row of the table must come to.

#include <span>
#include <string_view>

namespace gyled::ferment_worlds {

struct Target {
    enum class Kind {
        interval,  ///< the share of 90 % intervals that hold: 85 to 95 %, give or take its standard error
        error,     ///< the median error: at most `bound`, and less than every other method's
        bias,      ///< the median of estimate less truth: at most `bound` either way
        score,     ///< the interval score: below the five-parameter fit's
        every,     ///< as it must be in every world
        hardly,    ///< otherwise than it must be in at most `bound` of the worlds
        soon,      ///< median delay at most `bound`, and as it must be in all but 5 %
    };
    std::string_view rows;  ///< all whose name begins so
    Kind kind{};
    double bound = 0;
    std::string_view unit{};  ///< of errors and amounts
};

/// In the order of the table. A row belongs to each target that it begins like.
[[nodiscard]] std::span<const Target> targets();

}  // namespace gyled::ferment_worlds
