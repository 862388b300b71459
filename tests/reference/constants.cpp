#include "daemon/brewing/balling.hpp"
#include "tests/reference/equations.hpp"

namespace gyled::reference {
namespace {

using namespace gyled::base;
using namespace gyled::brewing;

Equation figure(double value) {
    return [value](const Inputs&) { return value; };
}

}  // namespace

const std::map<std::string, Equation>& constants() {
    static const std::map<std::string, Equation> table{
        {"real_over_apparent", figure(real_per_apparent_drop)},
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
        {"std_beer_abw", "the beer that explains the chart best; no composition equation could be sourced"},
        {"std_beer_re", "the beer that explains the chart best; no composition equation could be sourced"},
    };
    return table;
}

}  // namespace gyled::reference
