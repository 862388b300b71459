#pragma once
/// The pressure signal above the beer: what of it is gas but vapour, how unsteady it is, and what of its
/// movement is more than noise. What the gas consists of is each particle's guess (particles.hpp). A value,
/// single-threaded. Pressures kPa absolute unless said.

#include <optional>

#include "daemon/estimation/gas/gas_path.hpp"
#include "daemon/estimation/gas/gas_step.hpp"
#include "daemon/estimation/gas/parameters.hpp"
#include "daemon/estimation/gas/particles.hpp"

namespace gyled::estimation::gas {

class HeadSpaceGas {
public:
    /// Takes the step's pressure in. `path`: how gas can pass.
    void take(const GasStep& step, GasPath path);

    /// Of the step just taken.
    [[nodiscard]] const GasFlow& flow() const { return flow_; }
    /// All gas but water vapour.
    [[nodiscard]] double dry_kpa() const { return flow_.dry_kpa; }
    /// Of one step's mean pressure, kPa squared.
    [[nodiscard]] double variance() const { return flow_.variance; }
    /// By how much the gauge rose since the step before, kPa; nothing when either had no reading.
    [[nodiscard]] std::optional<double> rise_to(std::optional<double> head_kpa) const;
    [[nodiscard]] bool is_new() const { return !gas_c_; }

private:
    void learn_variance(const GasStep& step);
    void follow_temperature(const GasStep& step);
    void follow_pressure(bool let_off);

    std::optional<double> last_kpa_, before_last_kpa_;  // gauge
    std::optional<double> gas_c_;  // degC, followed with a play; nothing before the first step
    GasFlow flow_{.variance = HeadSpaceParameters{}.variance_start};
};

}  // namespace gyled::estimation::gas
