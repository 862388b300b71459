#pragma once
/// Carbon dioxide and air between beer, head space and the world, in moles, with every mole in the books.

#include "daemon/base/stage.hpp"
#include "sensors/virtual_vessel/plant/random.hpp"

namespace gyled::virtual_vessel {

/// How gas may pass at this moment. Pressures absolute, kPa; conductances in mol/(h kPa).
struct Ways {
    base::HeadSpace mode = base::HeadSpace::vented;
    double ambient_kpa = 101.325;
    double set_kpa = 101.325;  ///< of the spunding valve or the regulator
    double relief_kpa = 281.325;
    double leak = 0;            ///< to the outside, either way
    bool vent_blocked = false;  ///< neither blow-off nor spunding valve passes gas
    bool supply_shut = false;
    bool lid_open = false;  ///< brew day
};

/// What is dissolved beside the gas.
struct Liquid {
    double alcohol_by_volume = 0;  ///< percent
    double extract_g_per_l = 0;    ///< real
};

/// How much less CO2 this beer holds than water. Alcohol and extract drive it out, each by the power of its
/// amount (Sechenov's law); the whole effect is scaled by what this batch has of salts, proteins and gums,
/// and tilts with the temperature.
struct SaltingOut {
    double strength = 1.0;    ///< 1: the mean of alcohol and extract
    double tilt_per_k = 0;    ///< relative change of the solubility for each degree from 15
    double fixed_factor = 0;  ///< above 0: this instead of all the rest

    /// Solubility in the beer over that in water.
    [[nodiscard]] double factor(const Liquid& liquid, double celsius) const;
};
/// Strength triangular over -0.2, 0.4, 1.2: a finished beer of 5 % holds 0.92 to 1.01 of water, skewed
/// towards the middle of them. Against Weiss's constants, which stand 4 % above IAPWS's near freezing and 1 %
/// at 20 degC, that is 0.88 to 0.97 in the cold and 0.91 to 1.0 in warmth: a little more than what the chart
/// (0.935 to 0.97) and a measured lager (0.90: Liger-Belair and Cilindre, ACS Omega 6 (2021) 9672) leave
/// open. Below 0 it stands for water's constant being known no better. Tilt triangular within 0.1 % a degree.
[[nodiscard]] SaltingOut draw_salting_out(Random& random);

/// How fast gas passes between beer and head space.
struct Transfer {
    double still_per_h = 0.018;  ///< kLa through a still surface at 20 degC, one volume short of equilibrium
    double nucleation = 6.0;     ///< per h and volume above saturation, while yeast works
    double patience = 1.35;      ///< beer holds this many times its saturation before it foams
};
/// Still: lognormal, median 0.018 per hour, 0.0086 to 0.038 for nine in ten; a quarter less in the cold.
/// "Five days to two weeks" for a keg left alone is common practice, and some take longer.
[[nodiscard]] Transfer draw_transfer(Random& random);

/// Valves are never quite what is stamped on them.
struct Valves {
    double relief_opens = 1.0;       ///< of its gauge setting
    double relief_reseats = 0.93;    ///< of its gauge setting
    double spunding_play_kpa = 3.0;  ///< between opening and shutting
};
/// Opens within +-3 % (ASME BPVC VIII-1 UG-134 for more than 70 psi; below, 2 psi), reseats 4 to 15 % lower
/// (common practice); 2 to 6 kPa of play in a spunding valve (common practice).
[[nodiscard]] Valves draw_valves(Random& random);

class GasSpace {
public:
    struct Shape {
        double beer_l = 21;
        double head_l = 5;
        SaltingOut salting_out;
        Transfer transfer;
        Valves valves;
    };
    /// Where the gas begins.
    struct Start {
        double celsius = 20;
        double ambient_kpa = 101.325;
        double co2_volumes = 0;  ///< dissolved
        bool purged = true;      ///< no air above the beer
        Liquid liquid{};
    };
    /// The head space is at ambient pressure, filled up with CO2 (or air, unless purged), or at what is
    /// dissolved where that asks for more.
    GasSpace(const Shape& shape, const Start& start);

    /// Lets `hours` pass (keep it below two minutes) while the yeast makes `produced_mol`.
    void step(double hours, double celsius, double produced_mol, const Liquid& liquid, const Ways& ways);
    /// The volumes change while the lid is open: air comes and goes, the pressure stays.
    void set_volumes(double beer_l, double head_l);

    [[nodiscard]] double pressure_kpa() const { return pressure_kpa_; }  ///< absolute
    [[nodiscard]] double dissolved_volumes() const;
    [[nodiscard]] double equilibrium_volumes() const;  ///< with the gas that is above the beer now
    [[nodiscard]] double co2_fraction() const;
    [[nodiscard]] double kla_per_h() const { return kla_per_h_; }
    [[nodiscard]] double solubility_factor() const { return factor_; }
    [[nodiscard]] bool relief_open() const { return relief_open_; }
    [[nodiscard]] double dissolved_mol() const { return dissolved_mol_; }
    [[nodiscard]] double head_mol() const { return head_co2_mol_; }
    [[nodiscard]] double lost_mol() const { return lost_mol_; }
    [[nodiscard]] double supplied_mol() const { return supplied_mol_; }
    [[nodiscard]] double air_mol() const { return head_air_mol_; }
    [[nodiscard]] double air_in_mol() const { return air_in_mol_; }    ///< since the beginning
    [[nodiscard]] double air_out_mol() const { return air_out_mol_; }  ///< since the beginning
    [[nodiscard]] const Shape& shape() const { return shape_; }

    /// The absolute pressure, kPa, of the same gas and `more_mol` of CO2 still to be made, shut in and
    /// settled at another temperature.
    [[nodiscard]] double settled_kpa(double celsius, const Liquid& liquid, double more_mol = 0) const;

private:
    void set_temperature(double celsius, const Liquid& liquid);
    void update_pressure();
    [[nodiscard]] double saturation_mol() const;    ///< dissolved at equilibrium with the gas above
    [[nodiscard]] double bubble_point_mol() const;  ///< what pure CO2 of this pressure would keep dissolved
    [[nodiscard]] double kpa_per_mol() const;
    void approach(double saturation, double kla_per_h, double hours);
    void exchange(double hours, double produced_mol);
    void pass_towards(double target_kpa, double conductance, double hours);
    void vent(double hours, const Ways& ways);
    void relieve(double hours, const Ways& ways);
    void supply(double hours, const Ways& ways);

    Shape shape_;
    double celsius_ = 20;
    double steam_kpa_ = 2.3;
    double factor_ = 0.95;
    double henry_mol_per_kpa_ = 0;  ///< whole beer, on fugacity
    double dissolved_mol_ = 0;
    double head_co2_mol_ = 0;
    double head_air_mol_ = 0;
    double pressure_kpa_ = 101.325;
    double kla_per_h_ = 0;
    double lost_mol_ = 0;
    double supplied_mol_ = 0;
    double air_in_mol_ = 0;
    double air_out_mol_ = 0;
    bool spunding_open_ = false;
    bool relief_open_ = false;
};

}  // namespace gyled::virtual_vessel
