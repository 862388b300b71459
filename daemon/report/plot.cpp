#include "daemon/report/plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace gyled::report {
namespace {

/// In the SVG's own units: a phone shows about one pixel for each.
struct Frame {
    double width = 360, height = 178;
    double left = 36, right = 8, top = 14, bottom = 20;
    double gap = 0.04;         ///< of the span of x: no line is drawn over a longer silence
    double level_reach = 1.0;  ///< a level is drawn up to so many heights of the data above it
    double margin = 0.06;      ///< of the height of the data, kept free above and below
    int ticks = 5;             ///< along y, about
    double letter = 4.4;  ///< width of one, in the name of a stage: names that would overlap are left out
};
constexpr Frame frame;

class Scale {
public:
    Scale(double from, double to, double at_from, double at_to)
        : from_{from}, per_{(at_to - at_from) / (to - from)}, at_{at_from} {}
    [[nodiscard]] double operator()(double value) const { return at_ + (value - from_) * per_; }

private:
    double from_, per_, at_;
};

struct Range {
    double low = HUGE_VAL, high = -HUGE_VAL;
    void take(double value) {
        if (!std::isfinite(value)) return;
        low = std::min(low, value);
        high = std::max(high, value);
    }
};

bool is_drawn(const Point& p) {
    return std::isfinite(p.y);
}

Range of_data(const Plot& plot) {
    Range range;
    for (const Plot::Line& line : plot.lines)
        for (const Point& p : line.points)
            if (is_drawn(p)) {
                range.take(p.y);
                range.take(p.low);
                range.take(p.high);
            }
    for (const Plot::Mark& mark : plot.marks) range.take(mark.y);
    return range;
}

/// Room for the data, the bands, and those levels that are not far off.
Range y_range(const Plot& plot) {
    Range range = of_data(plot);
    if (range.low > range.high) range = {0, 1};
    const double data_high = range.high,
                 height = std::max(range.high - range.low, std::pow(10, -plot.decimals));
    for (const Plot::Band& band : plot.bands) {
        range.take(band.low);
        range.take(band.high);
    }
    for (const Plot::Level& level : plot.levels)
        if (level.y <= data_high + frame.level_reach * std::max(height, data_high)) range.take(level.y);
    const double free = frame.margin * std::max(range.high - range.low, height);
    return {range.low - free, range.high + free};
}

/// 1, 2 or 5 times a power of ten.
double step_for(double span) {
    const double rough = span / frame.ticks;
    const double power = std::pow(10, std::floor(std::log10(rough)));
    for (const double step : {1.0, 2.0, 5.0})
        if (step * power >= rough) return step * power;
    return 10 * power;
}

int decimals_of(double step) {
    return std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
}

struct Canvas {
    const Plot& plot;
    Scale x, y;
    double bottom = frame.height - frame.bottom;
    std::string out{};

    void text(double at_x, double at_y, std::string_view anchor, std::string_view words,
              std::string_view kind = "t") {
        out += fmt::format(R"(<text class="{}" x="{:.1f}" y="{:.1f}" text-anchor="{}">{}</text>)", kind, at_x,
                           at_y, anchor, escaped(words));
    }
    void line(std::string_view kind, double x1, double y1, double x2, double y2) {
        out += fmt::format(R"(<path class="{}" d="M{:.1f} {:.1f}L{:.1f} {:.1f}"/>)", kind, x1, y1, x2, y2);
    }
};

void draw_grid(Canvas& c, Range range) {
    const double step = step_for(range.high - range.low);
    const int digits = std::max(decimals_of(step), 0);
    for (double at = std::ceil(range.low / step) * step; at <= range.high; at += step) {
        c.line("grid", frame.left, c.y(at), frame.width - frame.right, c.y(at));
        c.text(frame.left - 4, c.y(at) + 3, "end", fmt::format("{:.{}f}", at == 0 ? 0.0 : at, digits));
    }
    for (const Plot::Place& tick : c.plot.ticks) c.text(c.x(tick.x), frame.height - 6, "middle", tick.words);
    c.line("axis", frame.left, c.bottom, frame.width - frame.right, c.bottom);
}

void draw_bands(Canvas& c) {
    for (const Plot::Band& band : c.plot.bands) {
        const double top = c.y(band.high), height = std::max(c.y(band.low) - top, 1.0);
        c.out += fmt::format(R"(<rect class="band" x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}"/>)",
                             c.x(band.from), top, std::max(c.x(band.to) - c.x(band.from), 0.5), height);
    }
}

void draw_stages(Canvas& c) {
    double named_until = -HUGE_VAL;
    for (const Plot::Place& stage : c.plot.stages) {
        const double at = c.x(stage.x);
        c.line("stage", at, frame.top, at, c.bottom);
        if (at < named_until) continue;
        c.text(at + 2, frame.top + 7, "start", stage.words, "s");
        named_until = at + frame.letter * static_cast<double>(stage.words.size() + 1);
    }
}

/// An interval without an end ends where the picture does.
Point bounded(Point p, Range range) {
    p.low = std::isfinite(p.low) ? p.low : range.low;
    p.high = std::isfinite(p.high) ? p.high : range.high;
    return p;
}

/// From one gap to the next.
template <class Draw>
void each_stretch(const Plot& plot, const std::vector<Point>& points, Draw draw) {
    const double gap = frame.gap * (plot.to - plot.from);
    std::vector<Point> stretch;
    for (const Point& p : points) {
        const bool breaks = !is_drawn(p) || (!stretch.empty() && p.x - stretch.back().x > gap);
        if (breaks && !stretch.empty()) {
            draw(stretch);
            stretch.clear();
        }
        if (is_drawn(p)) stretch.push_back(p);
    }
    if (!stretch.empty()) draw(stretch);
}

std::string_view name(Plot::Style style) {
    switch (style) {
        case Plot::Style::measured:
            return "measured";
        case Plot::Style::believed:
            return "believed";
        case Plot::Style::earlier:
            break;
    }
    return "earlier";
}

void draw_interval(Canvas& c, const std::vector<Point>& stretch, Range range, std::string_view kind) {
    std::string path;
    for (const Point& p : stretch)
        path +=
            fmt::format("{}{:.1f} {:.1f}", path.empty() ? 'M' : 'L', c.x(p.x), c.y(bounded(p, range).high));
    for (auto p = stretch.rbegin(); p != stretch.rend(); ++p)
        path += fmt::format("L{:.1f} {:.1f}", c.x(p->x), c.y(bounded(*p, range).low));
    c.out += fmt::format(R"(<path class="range {}" d="{}Z"/>)", kind, path);
}

void draw_value(Canvas& c, const std::vector<Point>& stretch, std::string_view kind) {
    std::string path;
    for (const Point& p : stretch)
        path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? 'M' : 'L', c.x(p.x), c.y(p.y));
    if (stretch.size() == 1) path += "h1";
    c.out += fmt::format(R"(<path class="line {}" d="{}"/>)", kind, path);
}

void draw_lines(Canvas& c, Range range) {
    for (const Plot::Line& line : c.plot.lines)
        each_stretch(c.plot, line.points, [&](const std::vector<Point>& stretch) {
            if (stretch.size() > 1) draw_interval(c, stretch, range, name(line.style));
        });
    for (const Plot::Line& line : c.plot.lines)
        each_stretch(c.plot, line.points,
                     [&](const std::vector<Point>& stretch) { draw_value(c, stretch, name(line.style)); });
    for (const Plot::Mark& mark : c.plot.marks)
        c.out += fmt::format(R"(<circle class="hand" cx="{:.1f}" cy="{:.1f}" r="2.6"/>)", c.x(mark.x),
                             c.y(mark.y));
}

/// The caption ends with the levels that lie above what is drawn.
std::string draw_levels(Canvas& c, Range range) {
    std::string above;
    for (const Plot::Level& level : c.plot.levels) {
        if (level.y > range.high) {
            above += "; " + level.words + " lies above";
            continue;
        }
        c.line("level", frame.left, c.y(level.y), frame.width - frame.right, c.y(level.y));
        c.text(frame.width - frame.right, c.y(level.y) - 2, "end", level.words, "l");
    }
    return above;
}

}  // namespace

std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                out += c;
        }
    return out;
}

std::string figure(const Plot& plot) {
    if (plot.is_empty() || !(plot.to > plot.from)) return {};
    const Range range = y_range(plot);
    Canvas c{plot, Scale{plot.from, plot.to, frame.left, frame.width - frame.right},
             Scale{range.low, range.high, frame.height - frame.bottom, frame.top}};
    draw_bands(c);
    draw_grid(c, range);
    draw_stages(c);
    draw_lines(c, range);
    const std::string above = draw_levels(c, range);
    return fmt::format(
        R"(<figure><figcaption>{}{}{}{}</figcaption><svg viewBox="0 0 {} {}" role="img" aria-label="{}">{}</svg></figure>)",
        escaped(plot.title), plot.unit.empty() ? "" : ", ", escaped(plot.unit), escaped(above), frame.width,
        frame.height, escaped(plot.title), c.out);
}

}  // namespace gyled::report
