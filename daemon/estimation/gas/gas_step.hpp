#pragma once
/// What the filter of dissolved CO2 is told: once of vessel and batch, and of every few minutes. Plain
/// values.

#include <cstdint>
#include <optional>

#include "daemon/base/pressure.hpp"
#include "daemon/base/stage.hpp"
#include "daemon/base/time.hpp"
#include "daemon/estimation/gas/uptake.hpp"

namespace gyled::estimation::gas {

struct GasContext {
    double total_volume_l = 0;  ///< of the vessel, litres
    double beer_volume_l = 0;   ///< litres
    double coldest_c = 1;       ///< degC, for crash_pressure
    std::optional<double> target_co2_volumes;
    std::optional<double> relief_kpa;     ///< gauge; near it the valve may let gas go, which is no leak
    std::optional<LearnedUptake> uptake;  ///< of this vessel, from batches before
    /// What is in the vessel when the watch begins: wort under air, fermented beer under CO2, or beer that
    /// has been brought to its carbonation already and is near equilibrium with the gas above it.
    enum class Start : std::uint8_t { wort, fermented, carbonated } start = Start::wort;
};

/// What is known of a few minutes, at most a quarter of an hour.
struct GasStep {
    base::Timestamp from, to;
    double beer_c = 20;  ///< degC
    base::Pressure ambient = base::standard_atmosphere;
    std::optional<double> head_kpa;  ///< gauge, robust mean over the step; nothing when no sensor spoke
    bool by_hand = false;            ///< it was read from a gauge by a person
    base::HeadSpace head_space = base::HeadSpace::vented;
    std::optional<double> set_kpa;  ///< gauge: spunding valve or regulator
    double produced_volumes = 0;    ///< set free by fermentation during the step, per litre of beer
    double produced_sigma = 0;
    bool fermenting = false;  ///< yeast is at work: bubbles stir, and beer may hold more than equilibrium
    [[nodiscard]] double hours() const { return base::hours_between(from, to); }
};

}  // namespace gyled::estimation::gas
