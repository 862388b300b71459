#pragma once
/// Extract, alcohol and density of wort and beer. Specific gravity is 20/20 degC, extract in degrees Plato (g
/// per 100 g), alcohol in g per 100 g.
///
/// The vessel's own: beer weighs what its extract and its alcohol weigh together (Tabarie), and sugar becomes
/// what the chemistry says. The daemon reads beer by Balling's law; the two differ by some tenths of a degree
/// of real extract, as brews do.

namespace gyled::virtual_vessel {

/// Density of water at 20 degC, g/L: IAPWS-95.
inline constexpr double water_g_per_l_at_20_c = 998.207;

/// SG of wort: 1.00001 + 0.0038661 P + 1.3488e-5 P^2 + 4.3074e-8 P^3. Goldiner and Klemann's fit to Plato's
/// table, widely printed; from memory. 0 to 20 degrees Plato.
[[nodiscard]] double wort_sg(double plato);
/// The same solved for extract (Newton), -5 to 40 degrees Plato.
[[nodiscard]] double wort_plato(double sg);
/// Extract in a litre of wort, g.
[[nodiscard]] double wort_extract_g_per_l(double sg);

/// SG of alcohol in water, to 15 g per 100 g. Fitted to the densities of the CRC Handbook's table of aqueous
/// ethanol, from memory, within 3e-5.
[[nodiscard]] double spirit_sg(double alcohol_by_weight);
/// SG of beer: that of its real extract in water and that of its alcohol in water, added. Tabarie's rule.
[[nodiscard]] double beer_sg(double real_plato, double alcohol_by_weight);
/// Percent by volume at 20 degC; ethanol weighs 789.3 g/L (OIML R 22).
[[nodiscard]] double alcohol_by_volume(double alcohol_by_weight, double sg);

/// What one g of extract becomes when yeast ferments it, g.
struct Yields {
    double ethanol;
    double co2;
    double yeast;  ///< dry; leaves the liquid
};
/// C6H12O6 -> 2 C2H5OH + 2 CO2 on all but `share_kept`, which yeast keeps for itself and for glycerol and
/// acids. Extract is mostly maltose and takes up 5 % of water as it is split. Of what is kept, a little over
/// half becomes yeast, the rest stays dissolved (as extract, so it was never gone). Molar masses: IUPAC.
[[nodiscard]] Yields yields(double share_kept);

}  // namespace gyled::virtual_vessel
