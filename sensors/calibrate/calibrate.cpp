#include "sensors/calibrate/calibrate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "sensors/calibrate/curve.hpp"
#include "sensors/calibrate/ratiometric.hpp"
#include "sensors/calibrate/thermometer.hpp"

namespace gyled::sensors {
namespace {

using base::Result;
using base::Unexpected;
using Element = Calibration::Element;

bool all_finite(const std::vector<double>& numbers) {
    return std::all_of(numbers.begin(), numbers.end(), [](double x) { return std::isfinite(x); });
}

const Unit& named_unit(const SensorSpec& spec) {
    const Dimension dimension = dimension_of(spec.measures);
    if (spec.unit.empty()) return base_unit(dimension);
    if (const Unit* unit = find_unit(dimension, spec.unit)) return *unit;
    throw std::invalid_argument(fmt::format("unit '{}' is not known for {}; known: {}", spec.unit,
                                            base::name(spec.measures),
                                            fmt::join(units_for(spec.measures), ", ")));
}

void require(bool holds, const char* otherwise) {
    if (!holds) throw std::invalid_argument(otherwise);
}

/// The unit a transducer's payload is in, after checking its constants.
const Unit& element_unit(const Calibration& how, const Unit& result) {
    const std::vector<double>& k = how.element_constants;
    require(all_finite(k), "a transducer's constants must be finite");
    switch (how.element) {
        case Element::none:
            require(k.empty(), "constants are given, but no transducer");
            return result;
        case Element::ratiometric:
            require(k.size() == 2 && k[0] > 0 && k[1] > 0,
                    "a ratiometric transducer needs its supply in V and its full scale, both above zero");
            return base_unit(Dimension::voltage);
        case Element::steinhart_hart:
            require(k.size() == 3, "a thermistor by Steinhart and Hart needs A, B and C");
            break;
        case Element::beta:
            require((k.size() == 2 || k.size() == 3) && k[0] > 0 && k[1] > 0,
                    "a thermistor by beta needs its resistance at 25 degC in ohm and beta in K, both above "
                    "zero, and "
                    "the reference temperature if it is another");
            break;
        case Element::pt100:
            require(k.empty() || (k.size() == 1 && k[0] > 0),
                    "a platinum thermometer needs R0 in ohm, above zero");
            break;
    }
    require(&result == &base_unit(Dimension::temperature), "a resistance thermometer gives degC");
    return base_unit(Dimension::resistance);
}

void check_curves(const Calibration& how) {
    require(all_finite(how.polynomial) && std::isfinite(how.offset), "calibration numbers must be finite");
    require(how.table.size() != 1, "a calibration table needs at least two points");
    for (const auto& [raw, value] : how.table)
        require(std::isfinite(raw) && std::isfinite(value), "calibration numbers must be finite");
    const auto not_above = [](const auto& a, const auto& b) { return a.first >= b.first; };
    require(std::adjacent_find(how.table.begin(), how.table.end(), not_above) == how.table.end(),
            "the raw values of a calibration table must ascend");
}

}  // namespace

Calibrator::Calibrator(const SensorSpec& spec)
    : how_{spec.calibration}, unit_{&named_unit(spec)}, payload_unit_{&element_unit(how_, *unit_)} {
    check_curves(how_);
}

Result<double, Refusal> Calibrator::apply(double raw, const Unit& from) const {
    double x = raw;
    const Unit* unit = &from;
    if (how_.element != Element::none) {
        const auto measured = apply_element(from.to_base(raw));
        if (!measured) return measured;
        x = *measured;
        unit = unit_;
    }
    if (!how_.on_raw) x = unit->to_base(x);
    const auto curved = apply_curves(x);
    if (!curved) return curved;
    const double value = (how_.on_raw ? unit->to_base(*curved) : *curved) + how_.offset;
    if (!std::isfinite(value))
        return Unexpected{Refusal{"not_finite", fmt::format("{} gives no finite value", raw)}};
    return value;
}

Result<double, Refusal> Calibrator::apply_element(double raw) const {
    const std::vector<double>& k = how_.element_constants;
    if (how_.element == Element::ratiometric) {
        if (const auto value = ratiometric(raw, k[0], k[1])) return *value;
        return Unexpected{
            Refusal{"wire_fault", fmt::format("{} V of {} V supply: a broken wire, a short, or far beyond "
                                              "the transducer's range; look at the vessel itself",
                                              raw, k[0])}};
    }
    double celsius = 0;
    if (how_.element == Element::pt100) celsius = platinum_celsius(raw, k.empty() ? 100 : k[0]);
    if (how_.element == Element::steinhart_hart) celsius = thermistor_celsius(raw, {k[0], k[1], k[2]});
    if (how_.element == Element::beta)
        celsius = beta_thermistor_celsius(raw, {k[0], k.size() == 3 ? k[2] : 25}, k[1]);
    if (std::isfinite(celsius)) return celsius;
    return Unexpected{Refusal{"wire_fault", fmt::format("{} ohm: a broken wire or a short", raw)}};
}

Result<double, Refusal> Calibrator::apply_curves(double x) const {
    const double smooth = polynomial(how_.polynomial, x);
    if (how_.table.empty()) return smooth;
    if (const auto value = look_up(how_.table, smooth)) return *value;
    return Unexpected{
        Refusal{"outside_calibration",
                fmt::format("{} lies more than a tenth of the span outside the table of {} to {}", smooth,
                            how_.table.front().first, how_.table.back().first)}};
}

}  // namespace gyled::sensors
