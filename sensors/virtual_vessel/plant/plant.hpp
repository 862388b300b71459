#pragma once
/// The simulated vessel: what really happens, to hold estimates against. No clock, no I/O; copies are
/// independent.

#include <memory>

#include "sensors/virtual_vessel/plant/scenario.hpp"

namespace gyled::virtual_vessel {

/// The truth at one moment.
struct Truth {
    Timestamp time{};
    StageKind stage = StageKind::ferment;
    HeadSpace head_space = HeadSpace::vented;
    double set_point_c = 0;

    double sg = 1.0;                 ///< apparent, degassed, 20/20
    double original_gravity = 1.0;   ///< true SG 20/20
    double alcohol_by_volume = 0;    ///< percent
    double rate_sg_per_day = 0;      ///< negative while fermenting
    double evolution_vol_per_h = 0;  ///< CO2 produced now, volumes per hour
    double terminal_sg = 1.0;        ///< where this batch ends: SG at the end of the scenario, as known now
    Timestamp finish{};              ///< first moment within 0.0005 of terminal_sg for good

    double co2_volumes = 0;              ///< dissolved
    double co2_equilibrium_volumes = 0;  ///< what would be dissolved at the present pressure and temperature
    double head_pressure_kpa = 0;        ///< gauge
    double ambient_kpa = 101.325;        ///< absolute
    double head_co2_fraction = 0;        ///< of the dry gas, by moles
    double supply_pressure_kpa = 0;      ///< gauge, behind the regulator; 0 without supply
    bool relief_open = false;

    double beer_c = 0;
    double jacket_c = 0;
    double room_c = 0;
    bool chilling = false;
    bool heating = false;

    double volume_l = 0;              ///< true beer volume
    double head_space_l = 0;          ///< true
    double solubility_factor = 0.95;  ///< of this beer now, over water
    double kla_per_h = 0;             ///< now
    double leak_mmol_per_h_kpa = 0;

    /// Books of carbon dioxide, in moles since the beginning: started + produced + supplied =
    /// dissolved + in the head space + lost.
    double co2_started_mol = 0;
    double co2_produced_mol = 0;
    double co2_supplied_mol = 0;
    double co2_dissolved_mol = 0;
    double co2_head_mol = 0;
    double co2_lost_mol = 0;
    /// Books of air, likewise: started + in = in the head space + out.
    double air_started_mol = 0;
    double air_in_mol = 0;
    double air_head_mol = 0;
    double air_out_mol = 0;
};

/// One vessel with one batch. Integrates in steps of 30 s (5 s on brew day), always the same ones, so how
/// time is dealt out in calls changes nothing. Single-threaded.
class Plant {
public:
    /// Throws std::invalid_argument, listing every mistake, when the scenario cannot be simulated.
    explicit Plant(Scenario scenario);
    Plant(const Plant&);
    Plant& operator=(const Plant&);
    Plant(Plant&&) noexcept;
    Plant& operator=(Plant&&) noexcept;
    ~Plant();

    /// Lets time pass; the truth is then that of the last whole step. Runs on beyond the scenario's end with
    /// its last stage. Negative spans are refused (std::invalid_argument).
    void advance(Duration span);

    [[nodiscard]] const Truth& truth() const;
    [[nodiscard]] Timestamp time() const;  ///< to which time was advanced
    [[nodiscard]] bool is_over() const;    ///< the scenario's duration has passed
    [[nodiscard]] const Scenario& scenario() const;
    /// The gauge pressure, kPa, that this moment's gas would settle at if it were shut in at that
    /// temperature.
    [[nodiscard]] double shut_in_kpa(double celsius) const;

    /// Starts a trouble now; its start_hours is ignored. The terminal gravity is foreseen anew.
    void start(Trouble trouble);
    /// Ends what can be ended of that kind. Yeast that gave up does not come back.
    void end(TroubleKind kind);

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::virtual_vessel
