#pragma once
/// What a world left behind: what was true, what instruments said, what hands did. SG 20/20, gauge kPa, degC,
/// volumes of CO2.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tests/simulation/pressure/truth/script.hpp"

namespace gyled::pressure_worlds {

struct Truth {
    Timestamp at{};
    double sg = 1;
    double terminal_sg = 1;
    double attenuation = 0;  ///< apparent, percent
    double co2_volumes = 0;
    double equilibrium_volumes = 0;  ///< with the gas above now
    double gauge_kpa = 0;
    double ambient_kpa = 101.325;
    double beer_c = 0;
    double air_percent = 0;  ///< of the dry head space
    bool relief_open = false;
};

/// Shut now and left alone until nothing changes; gauge.
struct Outlook {
    double closed_kpa = 0;  ///< at the present temperature, all sugar fermented
    double warm_kpa = 0;    ///< the same in the worst warmth
    double crash_kpa = 0;   ///< chilled at once: nothing more ferments
};
inline constexpr double warmest_c = 25;  ///< as the vessel's specification has it
inline constexpr double coldest_c = 1;

struct Look {
    Truth truth;
    Outlook outlook;
};

struct Deed {
    Timestamp at{};
    std::string name;
    std::optional<Told> told{};
    std::optional<double> hydrometer_sg{};  ///< as read
    Look then{};
};

struct Tape {
    Script script;
    Timestamp begin{}, end{};
    std::vector<Truth> truths;      ///< each step
    std::vector<Look> looks;        ///< each `look_every`
    std::vector<Deed> deeds;        ///< in order
    std::vector<Reading> readings;  ///< in order of time

    [[nodiscard]] const Truth& truth_at(Timestamp at) const;
    [[nodiscard]] const Deed* deed(std::string_view name) const;  ///< the first of that name
};

}  // namespace gyled::pressure_worlds
