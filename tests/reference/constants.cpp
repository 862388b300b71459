#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/brew_day.hpp"
#include "daemon/brewing/fermentation.hpp"
#include "daemon/brewing/packaging.hpp"
#include "daemon/brewing/relief.hpp"
#include "tests/reference/equations.hpp"

namespace gyled::reference {
namespace {

using namespace gyled::base;
using namespace gyled::brewing;

double specific_heat(const Inputs& in) {
    return malt_heat(in("moisture_pct")).specific_heat;
}
double slaking(const Inputs& in) {
    return malt_heat(in("moisture_pct")).slaking_c;
}
Equation figure(double value) {
    return [value](const Inputs&) { return value; };
}

}  // namespace

const std::map<std::string, Equation>& constants() {
    static const std::map<std::string, Equation> table{
        {"balling_mass", figure(balling_extract_g)},
        {"real_over_apparent", figure(real_per_apparent_drop)},
        {"malt_c_0", specific_heat},
        {"malt_c_2", specific_heat},
        {"malt_c_4", specific_heat},
        {"malt_c_6", specific_heat},
        {"malt_c_8", specific_heat},
        {"malt_slake_0", slaking},
        {"malt_slake_2", slaking},
        {"malt_slake_4", slaking},
        {"malt_slake_6", slaking},
        {"malt_slake_8", slaking},
        {"mashout", figure(mash_out_c_min)},
        {"ebc_limit_r95", figure(limit_attenuation_r95_percent)},
        {"ebc_limit_R95", figure(limit_attenuation_R95_percent)},
        {"bottle_limit_std", figure(volumes_max_crown_cap_bottle)},
        {"asme_scope", figure(psi_from_kpa(asme_scope_kpa_gauge))},
        {"ped_scope", figure(bar_from_kpa(ped_scope_kpa_gauge))},
        {"ped_surge", figure(100.0 * ped_surge_fraction)},
        {"osha_twa", figure(co2_ppm_8_hours)},
        {"hse_twa", figure(co2_ppm_8_hours)},
        {"hse_stel", figure(co2_ppm_15_minutes_hse)},
        {"niosh_stel", figure(co2_ppm_15_minutes_niosh)},
        {"niosh_idlh", figure(co2_ppm_dangerous_at_once)},
    };
    return table;
}

const std::map<std::string, std::string>& not_in_the_program() {
    static const std::string transducer = "a transducer's curve: tested with sensors/calibrate";
    static const std::map<std::string, std::string> table{
        {"pt_resistance", transducer},
        {"pt_temperature", transducer},
        {"pt_classA", transducer},
        {"pt_classB", transducer},
        {"sh_temp_3pt", transducer},
        {"sh_temp", transducer},
        {"beta_temp", transducer},
        {"ratiometric", transducer},
        {"poly_horner", transducer},
        {"onewire_lsb", transducer},
        {"onewire_ms", transducer},
        {"H_sander",
         "one value at 25 degC, no fit to use; tests/brewing holds Weiss's equation to its range"},
        {"residual_poly_F",
         "a trade polynomial for residual gas, recalled; residual_volumes answers instead"},
        {"std_beer_abw", "the beer that explains the chart best; no composition equation could be sourced"},
        {"std_beer_re", "the beer that explains the chart best; no composition equation could be sourced"},
    };
    return table;
}

}  // namespace gyled::reference
