#include "daemon/json/learned.hpp"

#include <fmt/format.h>

#include <cmath>

namespace gyled::json {
namespace {

constexpr double sigmas_of_90_percent = 1.645;

struct Figure {
    std::string_view what, unit;
    double value = 0;
    std::optional<double> low{}, high{};
    std::string text;
    int count = 0;
    std::string_view counted;  ///< one of them
};

Json figure_json(const Figure& it) {
    return {{"what", it.what},
            {"value", number(it.value)},
            {"low", number(it.low)},
            {"high", number(it.high)},
            {"unit", it.unit},
            {"text", it.text},
            {"rests_on", it.count},
            {"rests_on_text", fmt::format("{} {}{}", it.count, it.counted, it.count == 1 ? "" : "s")}};
}

/// With the interval of a logarithm's sigma.
Figure with_doubt(Figure it, double log_sigma) {
    const double factor = std::exp(sigmas_of_90_percent * log_sigma);
    it.low = it.value / factor;
    it.high = it.value * factor;
    it.text = fmt::format("{:.2f} {} ({:.2f} to {:.2f})", it.value, it.unit, *it.low, *it.high);
    return it;
}

}  // namespace

Json learned_of_vessel(const cellar::VesselView& view, const display::Display& display) {
    Json figures = Json::array();
    const auto& heat = view.learned.heat;
    if (heat.heat_ups > 0) {
        figures.push_back(figure_json(with_doubt({.what = "heater_power",
                                                  .unit = "kW",
                                                  .value = heat.heater_kw,
                                                  .text = {},
                                                  .count = heat.heat_ups,
                                                  .counted = "heat-up"},
                                                 heat.log_sigma)));
        figures.push_back(figure_json({.what = "heat_loss",
                                       .unit = "W/K",
                                       .value = heat.loss_w_per_k,
                                       .text = fmt::format("{:.1f} W/K at 60 °C", heat.loss_w_per_k),
                                       .count = heat.heat_ups,
                                       .counted = "heat-up"}));
    }
    if (const auto& relief = view.learned.relief)
        figures.push_back(figure_json({.what = "relief_opening",
                                       .unit = "kPa",
                                       .value = relief->opens_kpa,
                                       .text = display.text(base::Quantity::head_pressure, relief->opens_kpa),
                                       .count = static_cast<int>(relief->count),
                                       .counted = "opening"}));
    const auto& uptake = view.learned.uptake;
    if (uptake && is_usable(*uptake))
        figures.push_back(figure_json(with_doubt({.what = "gas_uptake",
                                                  .unit = "L/h",
                                                  .value = uptake->litres_per_h,
                                                  .text = {},
                                                  .count = uptake->batches,
                                                  .counted = "carbonation"},
                                                 uptake->log_sigma)));
    return {{"vessel", view.spec.id}, {"learned", std::move(figures)}};
}

Json learned_cultures(const std::map<std::string, estimation::LearnedCurve>& learned) {
    Json out = Json::array();
    for (const auto& [culture, curve] : learned)
        if (curve.batches > 0) out.push_back({{"culture", culture}, {"batches", curve.batches}});
    return out;
}

}  // namespace gyled::json
