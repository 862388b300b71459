#pragma once
/// Brew day: strike water, mash, heating and boil. Temperatures in degC, heat relative to water; NaN in, NaN
/// out. Hot liquor scalds and a shut, heated vessel bursts: these are figures for planning, not permission.

#include <array>

#include "daemon/brewing/extract.hpp"

namespace gyled::brewing {

inline constexpr double water_specific_heat_kj_per_kg_k = 4.186;

/// Malt by its moisture. Source: Pauls and Whites Brewing Room Book 1984/85, second hand.
struct MaltHeat {
    double moisture_percent;
    double specific_heat;  ///< relative to water
    double slaking_c;      ///< what wetting it adds to a mash of `slaking_table_water_kg_per_kg`
};
/// The liquor-to-grist ratio of the book's example, for which its degrees are printed.
inline constexpr double slaking_table_water_kg_per_kg = 2.68;
inline constexpr std::array malt_heats{
    MaltHeat{0, 0.38, 3.0}, MaltHeat{2, 0.39, 2.3}, MaltHeat{4, 0.40, 1.5},
    MaltHeat{6, 0.41, 1.3}, MaltHeat{8, 0.42, 1.0},
};
/// Between the lines of the table; outside 0 to 8 % its nearest end.
[[nodiscard]] constexpr MaltHeat malt_heat(double moisture_percent) {
    if (moisture_percent <= malt_heats.front().moisture_percent) return malt_heats.front();
    for (std::size_t i = 1; i < malt_heats.size(); ++i) {
        const MaltHeat& dry = malt_heats[i - 1];
        const MaltHeat& moist = malt_heats[i];
        if (moisture_percent > moist.moisture_percent) continue;
        const double part =
            (moisture_percent - dry.moisture_percent) / (moist.moisture_percent - dry.moisture_percent);
        return {moisture_percent, dry.specific_heat + part * (moist.specific_heat - dry.specific_heat),
                dry.slaking_c + part * (moist.slaking_c - dry.slaking_c)};
    }
    const MaltHeat& end = malt_heats.back();
    const double nan_stays = moisture_percent - moisture_percent;  // 0, or NaN for a NaN
    return {moisture_percent, end.specific_heat + nan_stays, end.slaking_c + nan_stays};
}

/// Slaking heat, kJ per kg of malt: what wetting it sets free, however much liquor takes it up. 19 kJ at 4 %
/// moisture; from memory, some 18 at usual moisture.
[[nodiscard]] constexpr double slaking_kj_per_kg(MaltHeat malt) {
    return malt.slaking_c * (slaking_table_water_kg_per_kg + malt.specific_heat) *
           water_specific_heat_kj_per_kg_k;
}

/// The grain that meets the water.
struct Grist {
    double grain_c;
    double water_kg_per_kg;          ///< liquor-to-grist ratio, above 0
    double specific_heat = 0.40;     ///< relative to water; 0.38 to 0.42 by moisture
    double slaking_kj_per_kg = 0.0;  ///< see the function of that name; 0 leaves it out
};
/// What slaking adds to the mash, degC: its heat shared by liquor and grain.
[[nodiscard]] constexpr double slaking_rise_c(Grist grist) {
    return grist.slaking_kj_per_kg / water_specific_heat_kj_per_kg_k /
           (grist.water_kg_per_kg + grist.specific_heat);
}
/// Temperature of the mash when liquor of `liquor_c` has met the grain: (R Tw + c Tg) / (R + c) + slaking.
[[nodiscard]] constexpr double mash_temperature_c(double liquor_c, Grist grist) {
    const double r = grist.water_kg_per_kg;
    const double c = grist.specific_heat;
    return (r * liquor_c + c * grist.grain_c) / (r + c) + slaking_rise_c(grist);
}
/// What a vessel at ambient takes besides, degC; common practice: learn it per vessel.
inline constexpr double cold_vessel_takes_c_min = 1.0, cold_vessel_takes_c_max = 3.0;
/// Liquor temperature that gives a mash of `mash_c`: Ts = Tm + (c / R)(Tm - Tg), less what slaking adds.
[[nodiscard]] constexpr double strike_temperature_c(double mash_c, Grist grist) {
    const double per_r = grist.specific_heat / grist.water_kg_per_kg;
    return mash_c + per_r * (mash_c - grist.grain_c) - slaking_rise_c(grist) * (1.0 + per_r);
}
inline constexpr double strike_doubt_c = 1.0;  ///< of malt and thermometers, in a vessel as hot as its liquor

/// Water or wort on a heater.
struct Heating {
    double litres;  ///< at 20 degC
    double power_kw;
    double efficiency = 1.0;  ///< share of the power that reaches the water, 0 to 1
};
/// Of an element in the liquor 0.9, within so much; common practice.
inline constexpr double heating_efficiency_doubt = 0.1;
/// Minutes to heat: m c dT / (P eta). Losses grow with temperature; let `efficiency` carry them. Infinite
/// without power.
[[nodiscard]] constexpr double heat_up_minutes(Heating what, double from_c, double to_c) {
    const double kj =
        what.litres * water_density_at_20_c / 1000.0 * water_specific_heat_kj_per_kg_k * (to_c - from_c);
    return kj / (what.power_kw * what.efficiency) / 60.0;
}
/// How fast it should warm, degC per minute. Less than half of it: an element or a probe at fault.
[[nodiscard]] constexpr double heat_up_c_per_minute(Heating what) {
    return 1.0 / heat_up_minutes(what, 0.0, 1.0);
}

/// Water boiled off, kg/h, by the power left after losses: 3600 / 2257 per kW (heat of vaporisation at 100
/// degC).
[[nodiscard]] constexpr double boil_off_kg_per_hour(double net_kw) {
    return net_kw * 3600.0 / 2257.0;
}

/// SG when the same extract fills another volume, after a boil or a dilution: gravity points times volume
/// stay. Both volumes at the same temperature: hot wort takes 4 % more room. Infinite at 0 litres.
[[nodiscard]] constexpr double sg_after_volume_change(double sg, double from_litres, double to_litres) {
    return 1.0 + (sg - 1.0) * from_litres / to_litres;
}
/// Water to add, litres, to bring `litres` of `sg` to `target_sg`. Negative: boil that much off. Infinite for
/// a target of 1.000.
[[nodiscard]] constexpr double dilution_litres(double sg, double litres, double target_sg) {
    return litres * ((sg - 1.0) / (target_sg - 1.0) - 1.0);
}

}  // namespace gyled::brewing
