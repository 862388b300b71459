#pragma once
/// How warm the beer is: a set point that is walked to, the thermostat's cycle about it, and the room's day
/// that the jacket does not quite keep out. The air outside beside it.

#include "sensors/virtual_vessel/plant/random.hpp"

namespace gyled::pressure_worlds {

/// All drawn; temperatures degC, times hours.
struct ClimateDraws {
    double cycle_c = 0.2;      ///< amplitude of the thermostat's saw
    double cycle_h = 1.2;      ///< its length
    double room_day_c = 0.3;   ///< amplitude of the day as the beer feels it
    double room_phase_h = 0;   ///< of the day
    double weather_kpa = 0.8;  ///< amplitude of the slow swing of the air's pressure
    double weather_h = 90;     ///< its length
    double weather_phase = 0;  ///< radians
};
/// A fridge or a glycol jacket: 0.05 to 0.35 degC each half hour to three hours. One vessel in four stands in
/// a room that it feels by up to 1.2 degC a day. Common practice.
[[nodiscard]] ClimateDraws draw_climate(virtual_vessel::Random& random);

class Climate {
public:
    Climate(const ClimateDraws& draws, double start_c) : draws_{draws}, walked_c_{start_c} {}

    /// The set point is walked to at that rate, degC per hour.
    void step(double hours, double set_c, double ramp_c_per_h);
    [[nodiscard]] double beer_c() const;
    /// What the weather adds to the air's pressure, kPa.
    [[nodiscard]] double weather_kpa() const;

private:
    ClimateDraws draws_;
    double walked_c_;
    double elapsed_h_ = 0;
};

}  // namespace gyled::pressure_worlds
