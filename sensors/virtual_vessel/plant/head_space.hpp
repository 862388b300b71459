#pragma once
/// Carbon dioxide between beer, head space and the world, in moles, with every mole in the books.

#include "daemon/base/stage.hpp"

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

class GasSpace {
public:
    struct Shape {
        double beer_l = 21;
        double head_l = 5;
        double solubility_factor = 0.95;
        double still_kla_per_h = 0.0125;
        bool real_gas = true;
    };
    /// Beer with `co2_volumes` dissolved under a head space of air (`purged` false) or CO2, at ambient
    /// pressure. Where the dissolved gas asks for more, the head space is in equilibrium with it.
    GasSpace(const Shape& shape, double celsius, double ambient_kpa, double co2_volumes, bool purged);

    /// Lets `hours` pass (keep it below two minutes) while the yeast makes `produced_mol`.
    void step(double hours, double celsius, double produced_mol, const Ways& ways);
    /// The volumes change while the lid is open: air comes and goes, the pressure stays.
    void set_volumes(double beer_l, double head_l);

    [[nodiscard]] double pressure_kpa() const { return pressure_kpa_; }  ///< absolute
    [[nodiscard]] double dissolved_volumes() const;
    [[nodiscard]] double equilibrium_volumes() const;  ///< with the gas that is above the beer now
    [[nodiscard]] double co2_fraction() const;
    [[nodiscard]] double kla_per_h() const { return kla_per_h_; }
    [[nodiscard]] bool relief_open() const { return relief_open_; }
    [[nodiscard]] double dissolved_mol() const { return dissolved_mol_; }
    [[nodiscard]] double head_mol() const { return head_co2_mol_; }
    [[nodiscard]] double lost_mol() const { return lost_mol_; }
    [[nodiscard]] double supplied_mol() const { return supplied_mol_; }
    [[nodiscard]] const Shape& shape() const { return shape_; }

private:
    void set_temperature(double celsius);
    void update_pressure();
    [[nodiscard]] double saturation_mol() const;  ///< dissolved at equilibrium with the gas above
    [[nodiscard]] double bubble_point_mol() const;
    [[nodiscard]] double kpa_per_mol() const;
    void approach(double saturation, double kla_per_h, double hours);
    void exchange(double hours, double produced_mol);
    void pass_towards(double target_kpa, double conductance, double hours);
    void vent(double hours, const Ways& ways);
    void relieve(double hours, const Ways& ways);
    void supply(double hours, const Ways& ways);

    Shape shape_;
    double celsius_ = 20;
    double vapour_kpa_ = 2.3;
    double virial_per_kpa_ = 0;     ///< B / R T
    double henry_mol_per_kpa_ = 0;  ///< whole beer, on fugacity
    double dissolved_mol_ = 0;
    double head_co2_mol_ = 0;
    double head_air_mol_ = 0;
    double pressure_kpa_ = 101.325;
    double kla_per_h_ = 0;
    double lost_mol_ = 0;
    double supplied_mol_ = 0;
    bool spunding_open_ = false;
    bool relief_open_ = false;
};

}  // namespace gyled::virtual_vessel
