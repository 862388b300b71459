#include "daemon/batch/planned_stage.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/base/stage_words.hpp"
#include "daemon/base/text.hpp"
#include "daemon/batch/plate.hpp"

namespace gyled::batch {

std::string PlannedStage::pressure(double kpa) const {
    return around.display.text(base::Quantity::head_pressure, kpa);
}

std::string PlannedStage::temperature(double celsius) const {
    return around.display.text(base::Quantity::beer_temperature, celsius);
}

std::string PlannedStage::lowest_part_words() const {
    const auto lowest = lowest_part(vessel());
    switch (lowest->part) {
        case RatedPart::relief_valve:
            return "the relief valve opens at " + pressure(lowest->kpa);
        case RatedPart::fitting:
            return "the weakest fitting is good for " + pressure(lowest->kpa);
        case RatedPart::vessel:
            break;
    }
    return "the vessel's plate says " + pressure(lowest->kpa);
}

double PlannedStage::highest_set() const {
    return std::floor(*highest_set_kpa(vessel()));
}

Finding PlannedStage::finding(Severity severity, std::string key, std::optional<double> fits,
                              const std::string& words) const {
    return {severity, index, std::move(key),
            fmt::format("Stage {} ({}): {}", index + 1, base::spoken(stage().kind), words), fits};
}

bool is_shut(const StagePlan& stage) {
    return stage.head_space != HeadSpace::vented;
}

bool keeps_air_out(const StagePlan& stage) {
    return stage.head_space == HeadSpace::sealed || stage.head_space == HeadSpace::spunded;
}

std::optional<Band> temperatures(const StagePlan& stage) {
    std::optional<Band> range = stage.temperature_c;
    if (const auto& end = stage.end.temperature_c)
        range = range ? Band{std::min(range->low, *end), std::max(range->high, *end)} : Band{*end, *end};
    return range;
}

std::optional<Band> temperatures_at_end(const StagePlan& stage) {
    if (const auto& end = stage.end.temperature_c) return Band{*end, *end};
    return stage.temperature_c;
}

double rounded_down(double value, double step) {
    constexpr double of_a_step = 1e-9;  // what arithmetic loses
    return std::floor(value / step + of_a_step) * step;
}

std::string at_most(std::string_view key, double value) {
    return fmt::format("At most {} = {:g} fits.", key, value);
}

}  // namespace gyled::batch
