#pragma once
/// Water as a liquid and as steam. Temperatures in degC, pressures absolute in kPa.
///
/// The vessel's own, by other forms than the daemon's, so that what the daemon computes is held to something
/// it did not compute itself.

namespace gyled::virtual_vessel {

/// Vapour pressure over water, -20 to 350 degC: the closed quadratic form of IAPWS-IF97, region 4, Eq. 30.
/// Coefficients from memory; checked on the steam tables.
[[nodiscard]] double steam_pressure_kpa(double celsius);
/// The temperature at which water boils under that pressure: the same equation solved for temperature, Eq.
/// 31.
[[nodiscard]] double boiling_point_c(double kpa_absolute);
/// Liquid water on its boiling line, kg/L, 0 to 350 degC: Wagner and Pruss, J. Phys. Chem. Ref. Data 22
/// (1993) 783 (IAPWS SR1-86). Coefficients from memory. The air above adds less than 0.01 %.
[[nodiscard]] double water_kg_per_l(double celsius);

/// Pressure of the air at an elevation in metres, by the weight of a column of dry air at the standard
/// atmosphere's mean temperature between the sea and there: 101.325 exp(-g M h / (R T)). ICAO Doc 7488's own
/// formula is a power of the temperature; the two agree within 0.02 % to 5000 m.
[[nodiscard]] double air_pressure_kpa(double elevation_m);

}  // namespace gyled::virtual_vessel
