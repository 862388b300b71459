#pragma once
/// Units at the display of the program: inside, everything is degC, kPa and litres. A plain number carries
/// its unit in its name; a pressure that could be gauge or absolute is a `Pressure`, and what is converted
/// here is a difference or a gauge value, never a `Pressure`. All are exact, hold for any number, and pass
/// NaN on.

namespace gyled::base {

/// J/(mol K), exact since the SI of 2019 (CODATA 2018).
inline constexpr double gas_constant = 8.314462618;
inline constexpr double zero_celsius_in_kelvin = 273.15;
/// One pound-force (0.45359237 kg under 9.80665 m/s2) on a square inch of 25.4 mm: exact (NIST SP 811).
inline constexpr double kpa_per_psi = 6.894757293168361;
inline constexpr double kpa_per_bar = 100.0;
/// The US liquid gallon of 231 cubic inches: exact (NIST SP 811).
inline constexpr double litres_per_us_gallon = 3.785411784;
/// The pound and the foot: exact (NIST SP 811).
inline constexpr double kg_per_pound = 0.45359237;
inline constexpr double metres_per_foot = 0.3048;

[[nodiscard]] constexpr double kelvin(double celsius) {
    return celsius + zero_celsius_in_kelvin;
}
[[nodiscard]] constexpr double celsius_from_fahrenheit(double fahrenheit) {
    return (fahrenheit - 32.0) / 1.8;
}
[[nodiscard]] constexpr double fahrenheit_from_celsius(double celsius) {
    return celsius * 1.8 + 32.0;
}

[[nodiscard]] constexpr double kpa_from_psi(double psi) {
    return psi * kpa_per_psi;
}
[[nodiscard]] constexpr double psi_from_kpa(double kpa) {
    return kpa / kpa_per_psi;
}
[[nodiscard]] constexpr double kpa_from_bar(double bar) {
    return bar * kpa_per_bar;
}
[[nodiscard]] constexpr double bar_from_kpa(double kpa) {
    return kpa / kpa_per_bar;
}

[[nodiscard]] constexpr double litres_from_us_gallons(double gallons) {
    return gallons * litres_per_us_gallon;
}
[[nodiscard]] constexpr double us_gallons_from_litres(double litres) {
    return litres / litres_per_us_gallon;
}
[[nodiscard]] constexpr double kg_from_pounds(double pounds) {
    return pounds * kg_per_pound;
}
[[nodiscard]] constexpr double metres_from_feet(double feet) {
    return feet * metres_per_foot;
}
[[nodiscard]] constexpr double cubic_metres_from_cubic_feet(double cubic_feet) {
    return cubic_feet * metres_per_foot * metres_per_foot * metres_per_foot;
}

}  // namespace gyled::base
