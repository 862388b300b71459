#pragma once
/// How values look to the person: their units, their time zone. Inside nothing changes; this is the display.

#include <string>
#include <string_view>

#include "daemon/base/quantity.hpp"
#include "daemon/base/time.hpp"

namespace gyled::display {

using base::Duration;
using base::Quantity;
using base::Timestamp;

enum class TemperatureUnit : std::uint8_t { celsius, fahrenheit };
enum class PressureUnit : std::uint8_t { kilopascal, bar, psi };
enum class GravityUnit : std::uint8_t { specific_gravity, plato };
enum class VolumeUnit : std::uint8_t { litre, us_gallon };

struct Display {
    TemperatureUnit temperature = TemperatureUnit::celsius;
    PressureUnit pressure = PressureUnit::bar;
    GravityUnit gravity = GravityUnit::specific_gravity;
    VolumeUnit volume = VolumeUnit::litre;
    std::string time_zone = "UTC";  ///< IANA name, e.g. "Europe/Lisbon"

    /// metric: degC, bar, SG, L. us: degF, psi, SG, US gal.
    [[nodiscard]] static Display metric();
    [[nodiscard]] static Display us();

    /// The number in the person's unit. Rates and differences of temperature are not offsets: see `span`.
    [[nodiscard]] double shown(Quantity q, double canonical) const;
    /// The same for a difference or a rate: no offset of scales. Differences of gravity hold near 1.020.
    [[nodiscard]] double span(Quantity q, double canonical_difference) const;
    /// The unit's text: "°C", "bar", "SG", "°P", "vol", "%", ...; empty for moments.
    [[nodiscard]] std::string_view unit_text(Quantity q) const;
    /// Digits after the point that a person wants: 1 for temperatures, 3 for SG, 2 for bar, 1 for psi and kPa
    /// ...
    [[nodiscard]] int decimals(Quantity q) const;
    /// "20.6 °C", "1.012 SG", "0.85 bar", "2.41 vol", "78 %"; a moment reads as `local`.
    [[nodiscard]] std::string text(Quantity q, double canonical) const;
    /// "Thu 5 Mar 16:10" in the person's zone; an unknown zone falls back to UTC and says "UTC".
    [[nodiscard]] std::string local(Timestamp t) const;
};

/// "3 h 10 min", "45 s", "2 d 4 h".
[[nodiscard]] std::string duration_text(Duration d);
/// Is this an IANA time zone that the machine knows?
[[nodiscard]] bool time_zone_known(const std::string& name);

}  // namespace gyled::display
