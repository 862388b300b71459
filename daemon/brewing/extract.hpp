#pragma once
/// How much is dissolved: specific gravity 20/20 degC (SG), degrees Plato and Brix (both g extract per 100
/// g), g/L.
///
/// A hydrometer in beer shows the *apparent* extract, because alcohol is lighter than water; the *real*
/// extract is what is truly left. The structs below name which is which, so a call cannot swap them. NaN in,
/// NaN out everywhere.

namespace gyled::brewing {

/// The original and the present gravity of one beer, SG 20/20 apparent.
struct Gravities {
    double original_sg;
    double present_sg;
};

/// The original and the apparent extract of one beer, degrees Plato.
struct Extracts {
    double original_plato;
    double apparent_plato;
};

/// The original and the real extract of one beer, degrees Plato.
struct RealExtracts {
    double original_plato;
    double real_plato;
};

/// Density of water at 20 degC, kg/m3: the "20" below the line in SG 20/20.
inline constexpr double water_density_at_20_c = 998.203;

/// Gravity points: 1.050 is 50.
inline constexpr double points_per_sg = 1000.0;
[[nodiscard]] constexpr double points_from_sg(double sg) {
    return (sg - 1.0) * points_per_sg;
}
[[nodiscard]] constexpr double sg_from_points(double points) {
    return 1.0 + points / points_per_sg;
}

/// Degrees Plato from SG.
///     P = -616.868 + 1111.14 SG - 630.272 SG^2 + 135.997 SG^3
/// Source: cubic fit to Table 1 of the ASBC Methods of Analysis, SG 1.000 to 1.100. The fit gives -0.003
/// at 1.000. Below 1.000, as well-fermented beer is, and above 1.100 it is extrapolated; it rises strictly
/// everywhere.
[[nodiscard]] constexpr double plato_from_sg(double sg) {
    return -616.868 + sg * (1111.14 + sg * (-630.272 + sg * 135.997));
}

/// SG from degrees Plato, in one division: SG = 1 + P / (258.6 - 227.1 P / 258.2).
/// Source: widely printed; within 2e-5 of the cubic from 0 to 20 degrees Plato. It has a pole at 294.
[[nodiscard]] constexpr double sg_from_plato_rational(double plato) {
    return 1.0 + plato / (258.6 - 227.1 * plato / 258.2);
}

/// SG from degrees Plato: the inverse of `plato_from_sg`, by Newton's steps from the rational form. The round
/// trip is good to 1e-12 between -20 and 70 degrees Plato; do not use it outside.
[[nodiscard]] constexpr double sg_from_plato(double plato) {
    double sg = sg_from_plato_rational(plato);
    for (int step = 0; step < 4; ++step)
        sg -= (plato_from_sg(sg) - plato) / (1111.14 + sg * (-2.0 * 630.272 + sg * 3.0 * 135.997));
    return sg;
}

/// Degrees Brix from SG.
///     Bx = -669.56218 + 1262.7794 SG - 775.68212 SG^2 + 182.46007 SG^3
/// Source: cubic fit (RMS 0.0009) to the sucrose table of NBS Circular C440, 0 to 40 degrees Brix. The same
/// quantity as Plato to 0.005 up to SG 1.100.
[[nodiscard]] constexpr double brix_from_sg(double sg) {
    return -669.56218 + sg * (1262.7794 + sg * (-775.68212 + sg * 182.46007));
}

[[nodiscard]] constexpr Extracts extracts_from(Gravities beer) {
    return {plato_from_sg(beer.original_sg), plato_from_sg(beer.present_sg)};
}
}  // namespace gyled::brewing
