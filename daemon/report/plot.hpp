#pragma once
/// One chart as inline SVG: drawn for a phone's width, so that its letters stay legible there; on paper two
/// stand side by side. Numbers are already in the person's units. Pure; any thread; nothing throws.

#include <string>
#include <string_view>
#include <vector>

namespace gyled::report {

struct Point {
    double x = 0, y = 0, low = 0, high = 0;  ///< not finite: a gap
};

struct Plot {
    /// A rectangle that was asked for: a stage's band over its own time.
    struct Band {
        double from, to, low, high;
    };
    enum class Style : unsigned char { measured, believed, earlier };
    struct Line {
        Style style{};
        std::vector<Point> points;  ///< ascending in x
    };
    struct Mark {
        double x, y;
    };
    struct Level {
        double y;
        std::string words;
    };
    struct Place {
        double x;
        std::string words;
    };

    std::string title, unit;
    int decimals = 0;
    double from = 0, to = 1;    ///< the span of x
    std::vector<Place> ticks;   ///< along x
    std::vector<Place> stages;  ///< where each began
    std::vector<Band> bands;
    std::vector<Line> lines;
    std::vector<Mark> marks;    ///< taken by hand
    std::vector<Level> levels;  ///< limits and targets; one far above everything else is said, not drawn

    [[nodiscard]] bool is_empty() const { return lines.empty() && marks.empty(); }
};

/// A `<figure>`, its text escaped.
[[nodiscard]] std::string figure(const Plot& plot);

/// Text within HTML or SVG.
[[nodiscard]] std::string escaped(std::string_view text);

}  // namespace gyled::report
