#include "daemon/batch/what_if.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "daemon/batch/plate.hpp"

namespace gyled::batch {
namespace {

using base::Quantity;
using estimation::Foreseen;
using estimation::Hypothesis;

/// Beer is neither colder, nor kept as warm as the upper end: what is beyond
/// was mistyped.
constexpr Band sensible_c{-2, 40};
constexpr double sensor_zero_kpa = 2;  ///< below the vacuum limit by less, a transducer's zero may show it

std::string_view gas_word(base::HeadSpace head_space) {
    return head_space == base::HeadSpace::supplied ? "regulator" : "spunding valve";
}

bool has_set_point(base::HeadSpace head_space) {
    return head_space == base::HeadSpace::supplied || head_space == base::HeadSpace::spunded;
}

class WhatIf {
public:
    WhatIf(const estimation::Foresight& belief, const Hypothesis& hypothesis, const VesselSpec& vessel,
           const display::Display& display)
        : belief_{belief},
          hypothesis_{hypothesis},
          vessel_{vessel},
          display_{display},
          bearable_{highest_set_kpa(vessel)} {}

    [[nodiscard]] WhatIfAnswer answer() {
        judge_valves();
        judge_temperatures();
        if (!answer_.refused.empty()) return answer_;
        answer_.course = belief_.under(hypothesis_);
        if (answer_.course.empty()) {
            answer_.refused.push_back(
                "Nobody could know: it needs beer temperature and, of a shut vessel, head pressure.");
            return answer_;
        }
        judge_pressure();
        judge_vacuum();
        remark();
        return answer_;
    }

private:
    [[nodiscard]] std::string pressure(double kpa) const {
        return display_.text(Quantity::head_pressure, kpa);
    }

    void judge_valves() {
        for (const Hypothesis::Valve& valve : hypothesis_.valves) {
            if (!has_set_point(valve.head_space)) continue;
            if (!valve.set_kpa)
                answer_.refused.push_back(
                    fmt::format("Say what the {} is set to.", gas_word(valve.head_space)));
            else if (*valve.set_kpa < 0)
                answer_.refused.push_back(fmt::format("A {} holds no vacuum.", gas_word(valve.head_space)));
            else if (!bearable_)
                answer_.refused.push_back(
                    "What the vessel bears is not known: the configuration names neither its working "
                    "pressure nor a relief valve.");
            else if (*valve.set_kpa > *bearable_)
                answer_.refused.push_back(fmt::format(
                    "The {} would be set to {}: the lowest rated part allows no more than {}.",
                    gas_word(valve.head_space), pressure(*valve.set_kpa), pressure(std::floor(*bearable_))));
        }
    }

    void judge_temperatures() {
        for (const Hypothesis::Warmth& warmth : hypothesis_.warmths)
            if (warmth.celsius < sensible_c.low || warmth.celsius > sensible_c.high)
                answer_.refused.push_back(
                    fmt::format("{} is no temperature for beer.",
                                display_.text(Quantity::beer_temperature, warmth.celsius)));
    }

    void judge_pressure() {
        if (!bearable_) {
            answer_.refused.push_back("What the vessel bears is not known: do not shut it on this answer.");
            return;
        }
        const auto too_high = [&](const Foreseen& f) {
            return f.estimates.at(Quantity::head_pressure).high > *bearable_;
        };
        const auto first = std::ranges::find_if(answer_.course, too_high);
        if (first == answer_.course.end()) return;
        const auto highest = std::ranges::max_element(answer_.course, {}, [](const Foreseen& f) {
            return f.estimates.at(Quantity::head_pressure).value;
        });
        const base::Estimate at_most = highest->estimates.at(Quantity::head_pressure);
        const std::string why = fmt::format(
            "It may pass {}, the most that the lowest rated part allows, from {} on, and come to {} ({} to "
            "{}) without the relief valve.",
            pressure(*bearable_), display_.local(first->at), pressure(at_most.value), pressure(at_most.low),
            pressure(at_most.high));
        answer_.refused.push_back(why + safe_words());
    }

    /// From where on it could be shut; the unsafe end may leave nothing of what is to come.
    [[nodiscard]] std::string safe_words() const {
        const base::Estimates closing = belief_.closing();
        const auto safe = closing.find(Quantity::closing_gravity);
        const auto end = belief_.final_gravity();
        if (safe == closing.end() || !end) return {};
        if (safe->second.low <= end->value)
            return " From which gravity on it would stay within cannot be said yet: keep it open, and "
                   "measure.";
        return fmt::format(" Shut from {} on, it would stay within.",
                           display_.text(Quantity::closing_gravity, safe->second.low));
    }

    void judge_vacuum() {
        const auto lowest = std::ranges::min_element(answer_.course, {}, [](const Foreseen& f) {
            return f.estimates.at(Quantity::head_pressure).value;
        });
        const base::Estimate kpa = lowest->estimates.at(Quantity::head_pressure);
        if (kpa.value >= vessel_.vacuum_limit_kpa - sensor_zero_kpa) return;
        answer_.refused.push_back(
            fmt::format("It would pull a vacuum: {} ({} to {}) at {}, and the vessel's limit is {}. Give it "
                        "CO2 while it cools.",
                        pressure(kpa.value), pressure(kpa.low), pressure(kpa.high),
                        display_.local(lowest->at), pressure(vessel_.vacuum_limit_kpa)));
    }

    void remark() {
        const base::Estimates closing = belief_.closing();
        const bool is_shut_somewhen = std::ranges::any_of(
            hypothesis_.valves,
            [](const Hypothesis::Valve& valve) { return valve.head_space != base::HeadSpace::vented; });
        if (const auto warm = closing.find(Quantity::warm_pressure);
            warm != closing.end() && is_shut_somewhen)
            answer_.remarks.push_back(fmt::format(
                "Shut now and warmed up to {}, it would come to {} ({} to {}) once the sugar is gone.",
                display_.text(Quantity::beer_temperature, vessel_.warmest_c), pressure(warm->second.value),
                pressure(warm->second.low), pressure(warm->second.high)));
        if (!hypothesis_.warmths.empty())
            answer_.remarks.push_back(
                "The beer is thought to cool by 1 °C an hour and to warm by half of it.");
        answer_.remarks.push_back(
            "The relief valve is left out of the sum, and protects when the sum is wrong.");
    }

    const estimation::Foresight& belief_;
    const Hypothesis& hypothesis_;
    const VesselSpec& vessel_;
    const display::Display& display_;
    std::optional<double> bearable_;
    WhatIfAnswer answer_;
};

}  // namespace

WhatIfAnswer what_if(const estimation::Foresight& belief, const Hypothesis& hypothesis,
                     const VesselSpec& vessel, const display::Display& display) {
    return WhatIf{belief, hypothesis, vessel, display}.answer();
}

}  // namespace gyled::batch
