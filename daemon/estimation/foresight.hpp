#pragma once
/// What if? A copy of what is believed of a batch, lived on under what a person
/// has in mind: the vessel shut now, a regulator set to so much, the beer
/// chilled on Friday. The same fold, fed with the temperatures and valves to
/// come instead of readings, so that the answer is as wide as the belief it
/// begins with.
///
/// A value, some 70 kB; safe to be moved to another thread. A day ahead takes
/// some 0.1 s while it ferments. A forecast: **the relief valve protects, this
/// does not**, and it is left out of the sum, so that what is told is what
/// would come without it. Pressures kPa gauge, temperatures degC.

#include <functional>
#include <optional>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/estimation/batch_inputs.hpp"
#include "daemon/estimation/fold.hpp"

namespace gyled::estimation {

/// What is to be done, and when.
struct Hypothesis {
    struct Valve {
        base::Timestamp from;
        base::HeadSpace head_space{};
        std::optional<double> set_kpa;  ///< of a spunding valve or regulator
    };
    struct Warmth {
        base::Timestamp from;
        double celsius;  ///< what is set then; the beer follows at its pace
    };
    std::vector<Valve> valves;      ///< in order of time; before the first, and
                                    ///< without one, it is as it is
    std::vector<Warmth> warmths{};  ///< in order of time; before the first it
                                    ///< stays as warm as it is
    base::Timestamp until;
};

/// At one moment to come: head_pressure, co2_volumes and, while it ferments,
/// gravity_now.
struct Foreseen {
    base::Timestamp at;
    double beer_c = 0;
    base::Estimates estimates;
};

struct ForesightParameters {
    double cools_c_per_h = 1.0;  ///< a jacketed or chilled vessel of some 20 L
                                 ///< (common practice: 0.5 to 3)
    double warms_c_per_h = 0.5;  ///< by the room or a heater belt (common practice)
};

class Foresight {
public:
    /// `now`: the stage that the batch stands in.
    Foresight(Fold belief, BatchContext context, StageEntry now);

    [[nodiscard]] base::Timestamp at() const { return belief_.at(); }
    /// What is known of it now, as in `Foreseen`; empty where nobody could know.
    [[nodiscard]] base::Estimates now() const;
    [[nodiscard]] const BatchContext& context() const { return context_; }
    [[nodiscard]] base::Pressure ambient() const { return belief_.ambient(); }
    [[nodiscard]] std::optional<double> beer_c() const { return belief_.gas().beer_c(); }
    /// closed_pressure, warm_pressure and closing_gravity (gas/closing.hpp).
    [[nodiscard]] base::Estimates closing() const;
    [[nodiscard]] std::optional<base::Estimate> final_gravity() const;

    /// By the quarter of an hour, up to and with `until`, or the first that is
    /// `enough`. Empty where nobody could know what is in it. A day takes some
    /// 0.1 s.
    using Enough = std::function<bool(const Foreseen&)>;
    [[nodiscard]] std::vector<Foreseen> under(const Hypothesis& hypothesis, const Enough& enough = {},
                                              const ForesightParameters& parameters = {}) const;

private:
    Fold belief_;
    BatchContext context_;
    StageEntry stage_;
};

}  // namespace gyled::estimation
