#pragma once
/// What the pressure of a shut vessel says of the gravity: by how much it has fallen since the valves were
/// shut (gas/gas_made.hpp). Spans between which a valve was turned stand side by side; nothing is known of
/// the gravity from one to the next. Gravities in points, times in hours since pitching. A value; bounded;
/// single-threaded.

#include <cstddef>
#include <optional>
#include <vector>

#include "daemon/estimation/gravity/thermal_time.hpp"

namespace gyled::estimation::gravity {

struct GasPoint {
    double hour = 0;
    ThermalTime thermal;  ///< since pitching
    double fallen = 0;    ///< points, since its span began
    bool begins = false;  ///< a span
};

class GasRecord {
public:
    static constexpr std::size_t most_points = 64;

    /// In order of time: how the span that began at `begin` stands now. Keeps one an hour.
    void take(GasPoint begin, GasPoint now);
    /// Gas leaks: the present span tells nothing.
    void distrust();

    [[nodiscard]] const std::vector<GasPoint>& points() const { return points_; }
    /// Does it speak at this hour?
    [[nodiscard]] bool is_live(double now_h) const;
    /// The fall from one hour to another; nothing unless one span covers both.
    [[nodiscard]] std::optional<double> fall(double from_h, double to_h) const;
    /// The fall over the last hours, or since the present span began where that is less; nothing when it is
    /// not live.
    [[nodiscard]] std::optional<double> recent_fall(double window_h, double now_h) const;
    /// When the present span began, and the fall since; nothing when it is not live.
    struct Span {
        double begin_h = 0;
        double fallen = 0;
    };
    [[nodiscard]] std::optional<Span> span(double now_h) const;

private:
    void thin();
    [[nodiscard]] std::size_t last_begin() const;

    std::vector<GasPoint> points_;
    std::optional<double> distrusted_h_;  // when the span began that is not believed
};

}  // namespace gyled::estimation::gravity
