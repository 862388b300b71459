#include "daemon/batch/measurement.hpp"

#include <fmt/format.h>

#include <cmath>

#include "daemon/brewing/plausible.hpp"
#include "daemon/estimation/batch_estimator.hpp"

namespace gyled::batch {
namespace {

using base::Quantity;

/// A phone's clock may be ahead of the server's.
constexpr base::Duration clocks_differ = std::chrono::minutes{1};

bool is_of_gravity(Quantity quantity) {
    return quantity == Quantity::gravity || quantity == Quantity::forced_final_gravity;
}

bool is_plausible(const HandMeasurement& m) {
    switch (m.quantity) {
        case Quantity::gravity:
        case Quantity::forced_final_gravity:
            return brewing::is_plausible_gravity(m.value);
        case Quantity::head_pressure:
            return brewing::is_plausible_head_pressure(m.value);
        case Quantity::purge_cycles:
            return brewing::is_plausible_purge(m.value);
        default:
            return brewing::is_plausible_co2(m.value);
    }
}

}  // namespace

std::string likely_gravity(double value) {
    const auto meant = brewing::likely_gravity(value);
    if (!meant) return ".";
    return fmt::format(": did you mean {:.3f}{}?", meant->sg,
                       meant->may_be_plato ? fmt::format(", or {:g} degrees Plato", value) : "");
}

std::optional<std::string> objection_to(const HandMeasurement& m, const Record& record, base::Timestamp now) {
    const auto spoken = std::string{base::name(m.quantity)};
    if (!estimation::BatchEstimator::uses(m.quantity))
        return fmt::format(
            "A {} read by hand would change nothing: only gravity, forced_final_gravity, co2_volumes, "
            "head_pressure and purge_cycles are used.",
            spoken);
    if (!std::isfinite(m.value)) return "A measurement is a number.";
    if (!is_plausible(m))
        return fmt::format("{:g} {} is no {}{}", m.value, base::unit(m.quantity), spoken,
                           is_of_gravity(m.quantity) ? likely_gravity(m.value) : ".");
    if (m.at < record.started) return fmt::format("That is before the batch '{}' began.", record.plan.name);
    if (m.at > now + clocks_differ) return "That is in the future.";
    return std::nullopt;
}

}  // namespace gyled::batch
