#pragma once
/// A vessel in moles, for tests of what is believed of its gas. Shares nothing with daemon/: Henry's constant
/// is IAPWS G7-04's (tests/reference/iapws.csv), gases are ideal, beer holds `factor` of what water does.

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

namespace gyled::tests {

class VesselOfMoles {
public:
    struct Shape {
        double beer_l = 21, head_l = 5, kla_per_h = 0.018, factor = 0.95;
    };
    enum class Opening { none, vent, supply, relief };

    VesselOfMoles(Shape shape, double volumes, double celsius)
        : shape_{shape}, celsius_{celsius}, volumes_{volumes} {
        air_mol_ = atmosphere_kpa * shape_.head_l / rt();
    }

    /// Dry pressure, kPa absolute.
    [[nodiscard]] double kpa() const { return (air_mol_ + co2_mol_) * rt() / shape_.head_l; }
    [[nodiscard]] double gauge_kpa() const { return kpa() - atmosphere_kpa; }
    [[nodiscard]] double volumes() const { return volumes_; }
    [[nodiscard]] double equilibrium() const { return per_kpa() * co2_mol_ * rt() / shape_.head_l; }
    [[nodiscard]] double air_percent() const { return 100 * air_mol_ / (air_mol_ + co2_mol_); }

    void set_temperature(double celsius) { celsius_ = celsius; }
    /// Everything at once down to the atmosphere.
    void let_off() { leave_down_to(0); }
    void fill_to(double kpa_gauge) { co2_mol_ += (kpa_gauge - gauge_kpa()) * shape_.head_l / rt(); }

    /// `made`: volumes in this time; bubbles carry off what is more than a tenth of a volume too much. Up to
    /// 0.45 were measured 1.5 m deep (Delente and Gurley, MBAA Tech. Q. 5 (1968) 187).
    void step(double hours, double made, Opening opening, double set_kpa = 0, double reseats_kpa = 0) {
        volumes_ += made;
        const double surface = (equilibrium() - volumes_) * -std::expm1(-shape_.kla_per_h * hours);
        take_up(surface);
        const double bubbles = volumes_ - per_kpa() * kpa() - 0.1;
        if (made > 0 && bubbles > 0) take_up(-bubbles);
        if (opening == Opening::vent && gauge_kpa() < 0) air_mol_ -= gauge_kpa() * shape_.head_l / rt();
        if (opening == Opening::vent) leave_down_to(0);
        if (opening == Opening::supply && gauge_kpa() < set_kpa) fill_to(set_kpa);
        if (opening == Opening::relief && gauge_kpa() > set_kpa) leave_down_to(reseats_kpa);
    }

private:
    static constexpr double atmosphere_kpa = 101.325;
    [[nodiscard]] double rt() const { return 8.314462618 * (celsius_ + 273.15); }
    /// Volumes that the beer holds per kPa: 55.4 mol of water a litre, 22.264 L a mol, fugacity 0.5 %.
    [[nodiscard]] double per_kpa() const {
        return shape_.factor * 55.4 * 22.264 * 0.995 / (1000 * henry_mpa());
    }
    [[nodiscard]] double henry_mpa() const {
        constexpr std::array<std::array<double, 2>, 6> table{
            {{0.01, 76.035}, {5, 90.924}, {10, 107.421}, {15, 125.440}, {20, 144.889}, {25, 165.645}}};
        std::size_t i = 0;
        while (i + 2 < table.size() && celsius_ > table[i + 1][0]) ++i;
        const double x = (celsius_ - table[i][0]) / (table[i + 1][0] - table[i][0]);
        return table[i][1] + x * (table[i + 1][1] - table[i][1]);
    }
    void take_up(double volumes) {
        volumes = std::min(volumes, co2_mol_ * 22.264 / shape_.beer_l);
        volumes_ += volumes;
        co2_mol_ -= volumes * shape_.beer_l / 22.264;
    }
    void leave_down_to(double gauge) {
        if (gauge_kpa() <= gauge) return;
        const double kept = (gauge + atmosphere_kpa) / kpa();
        air_mol_ *= kept;
        co2_mol_ *= kept;
    }

    Shape shape_;
    double celsius_, volumes_, air_mol_ = 0, co2_mol_ = 0;
};

}  // namespace gyled::tests
