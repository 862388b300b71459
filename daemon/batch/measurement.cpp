#include "daemon/batch/measurement.hpp"

#include <fmt/format.h>

#include <cmath>

#include "daemon/estimation/batch_estimator.hpp"

namespace gyled::batch {
namespace {

using base::Quantity;

/// Plausible readings of a hand instrument.
struct MeasurementParameters {
    Band gravity{0.980, 1.180};  ///< SG: bone dry to a wort of 40 degrees Plato (trade)
    Band co2_volumes{0.0, 6.0};  ///< volumes: more is not served from any vessel (trade)
    base::Duration clocks_differ = std::chrono::minutes{1};  ///< a phone's clock may be ahead of the server's
};
constexpr MeasurementParameters parameters;

std::optional<Band> range_of(Quantity quantity) {
    if (quantity == Quantity::gravity) return parameters.gravity;
    if (quantity == Quantity::co2_volumes) return parameters.co2_volumes;
    return std::nullopt;
}

bool is_gravity(double sg) {
    return sg >= parameters.gravity.low && sg <= parameters.gravity.high;
}

}  // namespace

std::string likely_gravity(double value) {
    constexpr double thousand = 1000;  // SG is often spoken in thousandths: "ten twenty-three"
    if (is_gravity(value / thousand)) return fmt::format(": did you mean {:.3f}?", value / thousand);
    if (value > 0 && value < 100 && is_gravity(1 + value / thousand))
        return fmt::format(": did you mean {:.3f}, or {:g} degrees Plato?", 1 + value / thousand, value);
    return {};
}

std::optional<std::string> objection_to(const HandMeasurement& m, const Record& record, base::Timestamp now) {
    const auto spoken = std::string{base::name(m.quantity)};
    if (!estimation::BatchEstimator::uses(m.quantity))
        return fmt::format("A {} read by hand would change nothing: only gravity and co2_volumes are used.",
                           spoken);
    if (!std::isfinite(m.value)) return "A measurement is a number.";
    const auto range = range_of(m.quantity);
    if (range && (m.value < range->low || m.value > range->high))
        return fmt::format("{:g} {} is no {}{}", m.value, base::unit(m.quantity), spoken,
                           m.quantity == Quantity::gravity ? likely_gravity(m.value) : ".");
    if (m.at < record.started) return fmt::format("That is before the batch '{}' began.", record.plan.name);
    if (m.at > now + parameters.clocks_differ) return "That is in the future.";
    return std::nullopt;
}

}  // namespace gyled::batch
