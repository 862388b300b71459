#pragma once
/// What stands above the beer besides CO2: water vapour, and the air that was there or came in through an
/// open vent. Also how unsteady the pressure signal is. A value, single-threaded. Pressures kPa absolute
/// unless said.

#include <optional>

#include "daemon/estimation/gas/gas_step.hpp"
#include "daemon/estimation/gas/parameters.hpp"

namespace gyled::estimation::gas {

class HeadSpaceGas {
public:
    explicit HeadSpaceGas(const GasContext& context) : context_{context} {}

    /// Takes the step's pressure in. `shut`: nothing enters or leaves.
    void take(const GasStep& step, bool shut);
    /// What the beer set free drives mixed gas out, what it took up makes room for air where the vent is
    /// open. `given_off`: volumes per litre of beer during the step just taken; negative when taken up.
    void mix(const GasStep& step, bool shut, double given_off);

    /// All gas but water vapour.
    [[nodiscard]] double dry_kpa() const { return dry_kpa_; }
    [[nodiscard]] double air_kpa() const { return air_kpa_.value_or(0); }
    [[nodiscard]] double co2_kpa() const;
    /// Of one step's mean pressure, kPa squared.
    [[nodiscard]] double variance() const { return variance_; }
    /// By how much the gauge rose since the step before, kPa; nothing when either had no reading.
    [[nodiscard]] std::optional<double> rise_to(std::optional<double> head_kpa) const;
    [[nodiscard]] bool is_new() const { return !air_kpa_; }

private:
    void learn_variance(const GasStep& step, bool shut);
    void warm(const GasStep& step, bool shut);

    GasContext context_;
    std::optional<double> last_kpa_, before_last_kpa_;  // gauge
    std::optional<double> gas_c_;                       // degC, smoothed
    std::optional<double> air_kpa_;                     // nothing before the first step
    double co2_kpa_ = 0;
    double dry_kpa_ = 0;
    double variance_ = HeadSpaceParameters{}.variance_start;
};

}  // namespace gyled::estimation::gas
