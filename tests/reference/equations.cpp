#include "tests/reference/equations.hpp"

#include <sstream>
#include <stdexcept>

#include "daemon/brewing/atmosphere.hpp"
#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/brew_day.hpp"
#include "daemon/brewing/dissolution.hpp"
#include "daemon/brewing/hydrometer.hpp"
#include "daemon/brewing/packaging.hpp"
#include "daemon/brewing/relief.hpp"
#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/brewing/solubility.hpp"
#include "tests/reference/csv.hpp"

namespace gyled::reference {

Inputs::Inputs(const std::string& text) {
    std::istringstream in(text);
    for (std::string pair; std::getline(in, pair, ';');) {
        const std::size_t equals = pair.find('=');
        if (equals == std::string::npos) throw std::runtime_error("not name=number: " + pair);
        values_[pair.substr(0, equals)] = number(std::string_view(pair).substr(equals + 1));
    }
}

double Inputs::operator()(const std::string& name) const {
    used_.insert(name);
    const auto found = values_.find(name);
    if (found == values_.end()) throw std::runtime_error("input missing: " + name);
    return found->second;
}

double Inputs::or_else(const std::string& name, double otherwise) const {
    used_.insert(name);
    const auto found = values_.find(name);
    return found == values_.end() ? otherwise : found->second;
}

std::set<std::string> Inputs::unused() const {
    std::set<std::string> left;
    for (const auto& [name, value] : values_)
        if (!used_.contains(name)) left.insert(name);
    return left;
}

namespace {

using namespace gyled::base;
using namespace gyled::brewing;

constexpr Pressure atm = standard_atmosphere;

Pressure absolute(double kpa) {
    return Pressure::from_kpa_absolute(kpa);
}
double bar_gauge(Pressure p) {
    return bar_from_kpa(p.kpa_gauge(atm));
}
Pressure from_psi_gauge(double psi) {
    return Pressure::from_kpa_gauge(kpa_from_psi(psi), atm);
}
double celsius(const Inputs& in) {
    return celsius_from_fahrenheit(in("T_F"));
}
double factor(const Inputs& in) {
    return in.or_else("f", beer_factor_typical);
}
Extracts extracts(const Inputs& in) {
    return {in("OE"), in("AE")};
}
RealExtracts real_extracts(const Inputs& in) {
    return {in("OE"), in("RE")};
}
Gravities gravities(const Inputs& in) {
    return {in("OG"), in("FG")};
}
SealedVessel vessel(const Inputs& in) {
    return {in("VL"), in("VG"), factor(in)};
}
Grist grist(const Inputs& in) {
    const double c = in.or_else("c", Grist{}.specific_heat);
    return {in("Tg"), in("R_wg"), c,
            slaking_kj_per_kg(
                {.moisture_percent = 0, .specific_heat = c, .slaking_c = in.or_else("slake", 0.0)})};
}
Sugar sugar(const Inputs& in) {
    return static_cast<Sugar>(static_cast<int>(in("kind")) - 1);  // 1 sucrose, 2 glucose, 3 its monohydrate
}
/// What a beer of so much alcohol (percent by weight) and real extract was brewed from, degrees Plato:
/// Balling's alcohol, which the program reckons, solved by bisection.
double wort_of(double alcohol_percent, double real_plato) {
    double low = real_plato, high = 40;
    while (high - low > 1e-9) {
        const double middle = (low + high) / 2;
        (alcohol_by_weight_percent(RealExtracts{middle, real_plato}) < alcohol_percent ? low : high) = middle;
    }
    return low;
}
/// g of CO2 per litre of water and bar of it.
double henry_g_per_litre_bar(double celsius) {
    return k0_mol_per_litre_atm(celsius) * co2_molar_mass / 1.01325;
}
/// litres of gas that so many g of CO2 are
double litres_of(double co2_g, double at_celsius) {
    return co2_g / co2_molar_mass * molar_volume_litres(at_celsius, atm);
}

using In = const Inputs&;

const std::map<std::string, Equation> units{
    {"f_to_c", [](In in) { return celsius_from_fahrenheit(in("F")); }},
    {"c_to_f", [](In in) { return fahrenheit_from_celsius(in("C")); }},
    {"psi_to_kpa", [](In in) { return kpa_from_psi(in("p")); }},
    {"psi_to_bar", [](In in) { return bar_from_kpa(kpa_from_psi(in("p"))); }},
    {"bar_to_psi", [](In in) { return psi_from_kpa(kpa_from_bar(in("p"))); }},
    {"kpa_to_psi", [](In in) { return psi_from_kpa(in("p")); }},
    {"gauge_psi_to_abs_kpa",
     [](In in) {
         return Pressure::from_kpa_gauge(kpa_from_psi(in("p")), absolute(in.or_else("atm_kpa", 101.325)))
             .kpa_absolute();
     }},
    {"isa_pressure_kpa", [](In in) { return atmosphere_at(in("h_m")).kpa_absolute(); }},
    {"gauge_shift_psi", [](In in) { return psi_from_kpa(gauge_shift_kpa(atmosphere_at(in("h_m")))); }},
    {"plato_asbc", [](In in) { return plato_from_sg(in("SG")); }},
    {"brix_nbs", [](In in) { return brix_from_sg(in("SG")); }},
    {"sg_from_plato", [](In in) { return sg_from_plato(in("P")); }},
    {"extract_g_per_L",
     [](In in) { return plato_from_sg(in("SG")) * in("SG") * water_density_at_20_c / 100; }},
    {"vol_to_gL_real", [](In in) { return co2_g_per_litre_from_volumes(in("v")); }},
    {"gL_to_vol_real", [](In in) { return volumes_from_co2_g_per_litre(in("g")); }},
};

const std::map<std::string, Equation> water{
    {"rho_tanaka", [](In in) { return water_density(in("t")); }},
    {"rho_kell", [](In in) { return water_density_kell(in("t")); }},
    {"psat_wagner_kpa", [](In in) { return saturation_pressure(in("t")).kpa_absolute(); }},
    {"pw_weiss_price_kpa", [](In in) { return vapour_pressure(in("t")).kpa_absolute(); }},
    {"boil_temp_c", [](In in) { return boiling_point_c(absolute(in("p_kpa"))); }},
    {"hydrometer_sg20",
     [](In in) {
         return sg_from_hydrometer(
             {in("reading"), in("t"), in.or_else("tcal", 20), in.or_else("gamma", 25e-6)});
     }},
};

const std::map<std::string, Equation> balling{
    {"real_extract", [](In in) { return real_extract_plato(extracts(in)); }},
    {"abw_balling", [](In in) { return alcohol_by_weight_percent(real_extracts(in)); }},
    {"abw_from_extracts", [](In in) { return alcohol_by_weight_percent(extracts(in)); }},
    {"abw_chain", [](In in) { return alcohol_by_weight_percent(gravities(in)); }},
    {"abv_chain", [](In in) { return alcohol_by_volume_percent(gravities(in)); }},
    {"abv_from_abw", [](In in) { return alcohol_by_volume_from_weight(in("A"), in("SG")); }},
    {"original_extract", [](In in) { return wort_of(in("A"), in("RE")); }},
    {"oe_two_a_minus_k2", [](In in) { return wort_of(in("A"), in("RE")) - (2 * in("A") + in("RE")); }},
    {"rdf_asbc", [](In in) { return real_attenuation_percent(real_extracts(in)); }},
    {"co2_evolved_g_per_L_wort", [](In in) { return co2_evolved_g_per_litre_wort(extracts(in)); }},
    {"co2_evolved_L_stp_per_L_wort",
     [](In in) { return litres_of(co2_evolved_g_per_litre_wort(extracts(in)), 0); }},
    {"co2_evolved_L_20C_per_L_wort",
     [](In in) { return litres_of(co2_evolved_g_per_litre_wort(extracts(in)), 20); }},
};

const std::map<std::string, Equation> gas{
    {"B_weiss", [](In in) { return second_virial_cm3_per_mol(in("t")); }},
    {"Z_co2", [](In in) { return compressibility(in("t"), absolute(in("p_kpa"))); }},
    {"vm_gas", [](In in) { return molar_volume_litres(in("t"), absolute(in("p_kpa"))); }},
    {"K0_weiss", [](In in) { return k0_mol_per_litre_atm(in("t")); }},
    {"K0_weiss_x100_per_kg",
     [](In in) { return 100 * k0_mol_per_litre_atm(in("t")) / (water_density(in("t")) / 1000); }},
    {"co2_mole_fraction_1000",
     [](In in) {
         const Pressure co2 = absolute(in("p_kpa"));
         const double co2_mol = volumes_in_water_per_kpa(in("t"), co2) * in("p_kpa") / normal_molar_volume;
         return 1000 * co2_mol / (co2_mol + water_density(in("t")) / 18.0153);  // g/mol
     }},
    {"bunsen_weiss", [](In in) { return volumes_in_water_per_kpa(in("t"), atm) * atm.kpa_absolute(); }},
    {"kH_water_gL_bar", [](In in) { return henry_g_per_litre_bar(in("t")); }},
    {"vol_water_full", [](In in) { return volumes_in_water(in("t"), absolute(in("p_kpa_abs"))); }},
    {"vol_beer", [](In in) { return volumes_in_beer(in("t"), absolute(in("p_kpa_abs")), factor(in)); }},
    {"gauge_bar_for_vol_beer",
     [](In in) { return bar_gauge(pressure_for_volumes(in("t"), in("V"), factor(in))); }},
    {"residual_vol_beer",
     [](In in) { return residual_volumes(in("t"), absolute(in.or_else("atm_kpa", 101.325)), factor(in)); }},
    {"ratio_chart_to_water",
     [](In in) { return in("V") / volumes_in_water(celsius(in), from_psi_gauge(in("P"))); }},
    {"kH_beer_gL_bar", [](In in) { return beer_factor_typical * henry_g_per_litre_bar(in("t")); }},
};

const std::map<std::string, Equation> vessels{
    {"relax", [](In in) { return concentration_after(in("C0"), in("Cs"), in("kLa"), in("t")); }},
    {"time_to_fraction", [](In in) { return hours_to_fraction(in("frac"), in("kLa")); }},
    {"sealed_warm_gauge_bar",
     [](In in) {
         const GasState sealed{in("t1"), pressure_for_volumes(in("t1"), in("V"), factor(in))};
         return bar_gauge(pressure_after(vessel(in), sealed, in("t2")));
     }},
    {"crash_gauge_kpa",
     [](In in) {
         return pressure_after(vessel(in), {in("t1"), atm}, in("t2")).kpa_gauge(atm);
     }},
    {"crash_gas_only_gauge_kpa",
     [](In in) {
         return pressure_after_gas_only({in("t1"), atm}, in("t2")).kpa_gauge(atm);
     }},
    {"liquid_expansion_pct", [](In in) { return liquid_expansion_percent(in("t1"), in("t2")); }},
    {"set_tol_psi", [](In in) { return psi_from_kpa(set_tolerance_kpa(kpa_from_psi(in("setp")))); }},
    {"room_ppm", [](In in) { return co2_in_room_ppm(in("co2_L"), in("room_m3")); }},
};

const std::map<std::string, Equation> batch{
    {"vol_per_sg_point",
     [](In in) {
         return co2_volumes_from_drop({in("OG"), in("SG_now"), in("SG_now") - in.or_else("dSG", 0.001)});
     }},
    {"yield_sucrose", [](In) { return co2_yield(Sugar::sucrose); }},
    {"yield_glucose", [](In) { return co2_yield(Sugar::glucose); }},
    {"yield_glucose_monohydrate", [](In) { return co2_yield(Sugar::glucose_monohydrate); }},
    {"priming_gL_per_vol", [](In in) { return priming_g_per_litre_per_volume(sugar(in)); }},
    {"bottle_vol",
     [](In in) {
         return final_volumes(
             {.residual_volumes = in("v0"), .sugar_g_per_litre = in("sugar_gL"), .sugar = sugar(in)});
     }},
    {"strike_c", [](In in) { return strike_temperature_c(in("Tm"), grist(in)); }},
    {"mash_c", [](In in) { return mash_temperature_c(in("Tw"), grist(in)); }},
    {"heat_minutes",
     [](In in) {
         return heat_up_minutes({in("L"), in("kW"), in.or_else("eff", 1.0)}, in("t1"), in("t2"));
     }},
    {"boiloff_kg_h", [](In in) { return boil_off_kg_per_hour(in("kW_net")); }},
    {"sg_after_boil", [](In in) { return sg_after_volume_change(in("SG"), in("V1"), in("V2")); }},
};

}  // namespace

const std::map<std::string, Equation>& equations() {
    static const std::map<std::string, Equation> all = [] {
        std::map<std::string, Equation> table;
        for (const auto* part : {&units, &water, &balling, &gas, &vessels, &batch})
            table.insert(part->begin(), part->end());
        return table;
    }();
    return all;
}

}  // namespace gyled::reference
