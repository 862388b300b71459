#pragma once
/// The readings of one batch, thinned to what a fit needs: a bounded number of points with their noise.
///
/// Inside the gravity estimator gravities are in points, (SG - 1) * 1000, and times in hours since pitching.

#include <cstddef>
#include <deque>
#include <vector>

#include "daemon/estimation/gravity/thermal_time.hpp"

namespace gyled::estimation::gravity {

struct GravityPoint {
    double hour = 0;
    ThermalTime thermal;  ///< since pitching
    double points = 0;    ///< as the sensor says
    double variance = 0;  ///< of its white noise, points squared
    double span_h = 0;    ///< how long a time it stands for
};

/// A reading by hand, free of the sensor's bias.
struct HandPoint {
    double hour = 0;
    ThermalTime thermal;
    double points = 0;
    double variance = 1;
};

/// One quarter of an hour of the sensor.
struct GravityReading {
    double hour = 0;
    ThermalTime thermal;
    double points = 0;
    int count = 1;  ///< raw readings behind it
};

class GravityRecord {
public:
    static constexpr std::size_t most_points = 88;

    /// Takes a reading. `forecast`: what the present belief expects the sensor to say, in points; it makes
    /// the judgement of outliers blind to the fall of the gravity.
    /// `fall_per_hour`: how fast it is believed to ferment, points per hour.
    void take(const GravityReading& reading, double forecast, double fall_per_hour);
    /// Makes a point of what came within the last hour. True when there is a new one.
    bool close_hour(double now_h);

    [[nodiscard]] const std::vector<GravityPoint>& points() const { return points_; }
    /// One sigma of a single bin, points; from the differences between neighbours.
    [[nodiscard]] double bin_noise() const;
    /// Fermenting beer lifts a float: rising bubbles and krausen make the readings noisy, mostly upward, and
    /// the more the faster it ferments. The lift is told from the noise that it brings: points per (point per
    /// hour), that is, hours by which the readings lag the truth.
    [[nodiscard]] double lift_h() const;
    /// Hour of the last reading, accepted or not; negative infinity before.
    [[nodiscard]] double last_hour() const { return last_hour_; }
    [[nodiscard]] bool is_empty() const { return points_.empty(); }

    /// Straight lines through the points of the last hours.
    struct Trend {
        double points_per_day = 0;
        double sigma = 0;  ///< of the slope, from the scatter about the line and from the readings' noise
        double span_h = 0;
        int count = 0;
    };
    [[nodiscard]] Trend trend(double from_h, double to_h) const;
    /// Mean of the points within, and how many there were.
    struct Level {
        double points = 0;
        double sigma = 0;
        int count = 0;
    };
    [[nodiscard]] Level level(double from_h, double to_h) const;

private:
    struct Judged {
        GravityReading reading;
        double residual;
    };
    void thin();

    std::vector<GravityPoint> points_;
    std::deque<Judged> recent_;       // three hours
    std::deque<double> differences_;  // absolute second differences
    struct Restless {                 // the same, of one raw reading, with the rate at which they were seen
        double difference;
        double fall_per_hour;
    };
    std::deque<Restless> calm_, brisk_;
    double fastest_ = 0;
    double last_hour_ = -1e300;
    double closed_until_h_ = -1e300;
};

}  // namespace gyled::estimation::gravity
