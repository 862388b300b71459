#pragma once
/// The readings of a batch, made ready to be fitted by many curves.
///
/// Whitening by a Kalman filter: what neither curve nor drift explains is a random-walk bias about them (an
/// Ornstein-Uhlenbeck process of some 18 hours). The filter is the same for every curve, so its gains are
/// found once, and each curve then costs a single pass. Gravities in points, times in hours since pitching.
/// Values; single-threaded.

#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "daemon/estimation/gravity/priors.hpp"
#include "daemon/estimation/gravity/record.hpp"

namespace gyled::estimation::gravity {

/// Change points: the hours at which a batch left its curve, if it did.
struct ChangePoints {
    std::optional<double> stalled_h;
    std::optional<double> crept_h;
    std::optional<double> woke_h;  ///< warm again after a cold sleep
    friend bool operator==(const ChangePoints&, const ChangePoints&) = default;
};

/// The present: hours since pitching, and how fast thermal time passes.
struct Present {
    double hour = 0;
    ThermalTime thermal;
    ThermalTime speed;
    double lift_h = 0;  ///< by how much the readings lag the truth while the gravity falls
};

/// Thermal time as one particle counts it: slower once woken from the cold, nearly still once stalled.
struct BatchClock {
    static constexpr double never = std::numeric_limits<double>::infinity();
    ThermalMix mix;
    double woken_h = never;
    double lag_h = 0;
    double woken_activity = 1.0;
    double stalled_h = never;  // in time slowed down already
    double activity = 1.0;
    [[nodiscard]] double at(const ThermalTime& t) const {
        double h = mix.at(t);
        if (h > woken_h) h = woken_h + woken_activity * std::max(0.0, h - woken_h - lag_h);
        return h <= stalled_h ? h : stalled_h + activity * (h - stalled_h);
    }
};
/// Sugar set free late, and eaten at a constant rate per thermal hour.
struct Creep {
    double from_thermal_h = std::numeric_limits<double>::infinity();
    double per_h = 0;
    [[nodiscard]] double at(double thermal_h) const {
        return thermal_h <= from_thermal_h ? 0.0 : 1.0 - std::exp(-per_h * (thermal_h - from_thermal_h));
    }
};

/// One point of the record, with the step of the filter that whitens it.
struct WhitenedRow {
    ThermalTime thermal;
    double gain;               // of the filter
    double keep;               // of the bias, until the next row
    double inverse_sigma;      // 1 / sigma of the innovation
    double one, day, reading;  // whitened columns that no shape changes
};

/// Holds references to `points` and `hands`, which outlive it.
struct GravityEvidence {
    std::vector<WhitenedRow> rows;
    const std::vector<GravityPoint>* points = nullptr;  ///< not owned; outlive the evidence
    const std::vector<HandPoint>* hands = nullptr;
    Present present;
    ChangePoints change_points;
    base::Culture culture{};
    /// Sums of products of the columns that no shape changes.
    double one_one = 0, one_day = 0, day_day = 0, one_y = 0, day_y = 0, yy = 0;
    double log_inverse_sigma = 0;  ///< in sum
    /// What the filter expects of each column at present, and the variance of the bias then.
    double end_one = 0, end_day = 0, end_y = 0, end_variance = 0;

    /// `noisier`: by which factor each point's variance is larger than thought; empty: none.
    GravityEvidence(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                    const Present& present, const ChangePoints& change_points, base::Culture culture,
                    double random_walk_sigma, const std::vector<double>& noisier);

    [[nodiscard]] ThermalTime thermal_at(double hour) const;
    [[nodiscard]] BatchClock clock(const ShapeVector& shape) const;
    [[nodiscard]] Creep creep(const ShapeVector& shape, const BatchClock& clock) const;
};

/// Normal equations of the linear parameters, given a shape. Only the lower triangle of the precision is
/// filled.
struct NormalEquations {
    LinearMatrix precision = LinearMatrix::Zero();
    LinearVector information = LinearVector::Zero();
    double rest = 0;  ///< log density that they do not change
    double end_main = 0, end_slow = 0, end_creep = 0;
};

[[nodiscard]] NormalEquations normal_equations(const ShapeVector& shape, Family family,
                                               const GravityEvidence& evidence);

}  // namespace gyled::estimation::gravity
