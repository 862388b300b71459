#pragma once
/// Heat between beer, jacket and room, and what thermostat, chiller and elements do about it.

namespace gyled::virtual_vessel {

/// The duty of the moment.
struct Duty {
    enum class Kind {
        hold,     ///< thermostat, with chiller and the jacket's gentle heat
        element,  ///< brew day: the element heats to the set point, nothing cools
        boil,     ///< the element is on
        plunge,   ///< brew day: cold water through the coil until the set point
    } kind = Kind::hold;
    double set_point_c = 20;
    double reaction_w = 0;  ///< heat of fermentation
    double room_c = 18;
    double boiling_point_c = 100;
    double simmer_w = 1500;  ///< of the element, once it boils
    bool chiller_works = true;
    bool heater_works = true;
};

class Heating {
public:
    struct Shape {
        double chiller_w = 150;
        double jacket_heater_w = 60;
        double element_w = 3500;
        double band_c = 0.3;  ///< half width of the thermostat
    };
    Heating(const Shape& shape, double beer_c, double room_c);

    /// Litres of beer or wort, and kg of wet grain in it: they set the heat capacity and the surfaces.
    void set_contents(double litres, double grain_kg);
    /// Cold grain goes into the liquor; its slaking heat helps. Source: the mixing rule of the trade, c =
    /// 0.40.
    void dough_in(double grain_kg, double grain_c);
    /// Lets `hours` pass; keep the step below a minute.
    void step(double hours, const Duty& duty);

    [[nodiscard]] double beer_c() const { return beer_c_; }
    [[nodiscard]] double jacket_c() const { return jacket_c_; }
    [[nodiscard]] bool chilling() const { return chilling_; }
    [[nodiscard]] bool heating() const { return heating_; }
    /// Boiled away since the last call, kg.
    [[nodiscard]] double take_steam_kg();

private:
    void switch_thermostat(const Duty& duty);

    Shape shape_;
    double litres_ = 20;
    double grain_kg_ = 0;
    double beer_c_;
    double jacket_c_;
    bool chilling_ = false;
    bool heating_ = false;
    double steam_kg_ = 0;
};

}  // namespace gyled::virtual_vessel
