#pragma once
/// The instruments: truth in, readings with all their faults out. Canonical units.

#include <optional>
#include <vector>

#include "daemon/base/quantity.hpp"
#include "daemon/base/time.hpp"
#include "sensors/virtual_vessel/plant/random.hpp"

namespace gyled::pressure_worlds {

using base::Quantity;
using base::Timestamp;

/// One instrument and its faults, as drawn.
struct Probe {
    Quantity quantity{};
    double cadence_s = 60;
    double noise = 0;  ///< white, one sigma
    double offset = 0;
    double gain = 1;
    double drift_per_day = 0;
    double step = 0;    ///< quantisation; 0: none
    double wander = 0;  ///< one sigma of a slow walk about the truth, over some five hours
    double outlier_share = 0;
    double outlier_size = 0;
};
/// A thermometer in its well: 0.15 degC off, a digital probe's steps.
[[nodiscard]] Probe draw_thermometer(virtual_vessel::Random& random);
/// A transducer: 0.1 to 0.4 kPa of noise, its zero off by 0.5 kPa and its span by 0.3 % (one sigma), 0.02 kPa
/// a day of drift, 0.05 to 0.5 kPa of quantisation.
[[nodiscard]] Probe draw_transducer(virtual_vessel::Random& random);
/// A float: 0.6 to 1.2 points of noise, 0.7 of wander, 1.5 of offset, 0.8 of drift in ten days, steps of 0.1
/// to 1 point, one reading in a hundred wild.
[[nodiscard]] Probe draw_float(virtual_vessel::Random& random);
[[nodiscard]] Probe draw_barometer(virtual_vessel::Random& random);

struct Reading {
    Timestamp at;
    Quantity quantity{};
    double value = 0;
};

/// One instrument at work.
class Instrument {
public:
    Instrument(const Probe& probe, virtual_vessel::Random random, Timestamp begin)
        : probe_{probe}, random_{random}, begin_{begin}, due_{begin} {}
    /// What it says when it is due; it draws its luck whether or not anybody hears it.
    [[nodiscard]] std::optional<Reading> read(Timestamp now, double truth);
    [[nodiscard]] Quantity quantity() const { return probe_.quantity; }

private:
    Probe probe_;
    virtual_vessel::Random random_;
    Timestamp begin_, due_;
    double wander_ = 0;
};

}  // namespace gyled::pressure_worlds
