#pragma once
/// The readings of a batch, made ready to be held against many curves.
///
/// What neither curve nor drift explains wanders slowly about them (an Ornstein-Uhlenbeck process of some 18
/// hours). A Kalman filter whitens it; as the filter is the same for every curve, its gains are found once,
/// and each curve then costs a single pass. Gravities in points, times in hours since pitching.

#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "daemon/estimation/gravity_belief.hpp"
#include "daemon/estimation/gravity_record.hpp"

namespace gyled::estimation {

/// Where a batch turned from its curve, if it did.
struct Turns {
    std::optional<double> stalled_h;
    std::optional<double> crept_h;
    std::optional<double> woke_h;  ///< warm again after a cold sleep
    friend bool operator==(const Turns&, const Turns&) = default;
};

/// The present: hours since pitching, and how fast thermal time passes.
struct Present {
    double hour = 0;
    ThermalTime thermal;
    ThermalTime speed;
    double lift_h = 0;  ///< by how much the readings lag the truth while the gravity falls
};

/// Thermal time as one member counts it: slower once woken from the cold, nearly still once stalled.
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
    double keep;               // of the wander, until the next row
    double sharpness;          // 1 / sigma of the innovation
    double one, day, reading;  // whitened columns that no shape changes
};

struct GravityEvidence {
    std::vector<WhitenedRow> rows;
    const std::vector<GravityPoint>* points = nullptr;  ///< not owned; outlive the evidence
    const std::vector<HandPoint>* hands = nullptr;
    Present present;
    Turns turns;
    base::Culture culture{};
    /// Sums of products of the columns that no shape changes.
    double one_one = 0, one_day = 0, day_day = 0, one_y = 0, day_y = 0, yy = 0;
    double log_sharpness = 0;
    /// What the filter expects of each column at present, and the variance of the wander then.
    double end_one = 0, end_day = 0, end_y = 0, end_variance = 0;

    /// `noisier`: by which factor each point's variance is larger than thought; empty: none.
    GravityEvidence(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                    const Present& present, const Turns& turns, base::Culture culture, double wander,
                    const std::vector<double>& noisier);

    [[nodiscard]] ThermalTime thermal_at(double hour) const;
    [[nodiscard]] BatchClock clock(const ShapeVector& shape) const;
    [[nodiscard]] Creep creep(const ShapeVector& shape, const BatchClock& clock) const;
};

/// Normal equations of the heights, given a shape. Only the lower triangle of the precision is filled.
struct HeightSums {
    HeightMatrix precision = HeightMatrix::Zero();
    HeightVector information = HeightVector::Zero();
    double rest = 0;  ///< log density that the heights do not change
    double end_main = 0, end_slow = 0, end_creep = 0;
};

[[nodiscard]] HeightSums height_sums(const ShapeVector& shape, const GravityEvidence& evidence);

}  // namespace gyled::estimation
