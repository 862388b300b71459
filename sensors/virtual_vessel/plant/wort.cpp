#include "sensors/virtual_vessel/plant/wort.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr double hexose_g_per_mol = 180.156;
constexpr double ethanol_g_per_mol = 46.0684;
constexpr double carbon_dioxide_g_per_mol = 44.0095;
constexpr double water_taken_up = 1.052;  // maltose: 360.31 / 342.30
constexpr double yeast_of_kept = 0.55;
constexpr double ethanol_g_per_l_at_20_c = 789.3;

constexpr double sugar_1 = 0.0038661, sugar_2 = 1.3488e-5, sugar_3 = 4.3074e-8;
constexpr double spirit_1 = -1.91417e-03, spirit_2 = 3.21710e-05, spirit_3 = -4.30635e-07;

}  // namespace

double wort_sg(double plato) {
    return 1.00001 + plato * (sugar_1 + plato * (sugar_2 + plato * sugar_3));
}

double wort_plato(double sg) {
    double plato = (sg - 1.0) * 250.0;
    for (int step = 0; step < 6; ++step)
        plato -= (wort_sg(plato) - sg) / (sugar_1 + plato * (2.0 * sugar_2 + plato * 3.0 * sugar_3));
    return plato;
}

double wort_extract_g_per_l(double sg) {
    return wort_plato(sg) / 100.0 * sg * water_g_per_l_at_20_c;
}

double spirit_sg(double a) {
    return 1.0 + a * (spirit_1 + a * (spirit_2 + a * spirit_3));
}

double beer_sg(double real_plato, double alcohol_by_weight) {
    return wort_sg(real_plato) + spirit_sg(alcohol_by_weight) - 1.0;
}

double alcohol_by_volume(double alcohol_by_weight, double sg) {
    return alcohol_by_weight * sg * water_g_per_l_at_20_c / ethanol_g_per_l_at_20_c;
}

Yields yields(double share_kept) {
    const double mol = (1.0 - share_kept) * water_taken_up * 2.0 / hexose_g_per_mol;
    return {mol * ethanol_g_per_mol, mol * carbon_dioxide_g_per_mol, yeast_of_kept * share_kept};
}

}  // namespace gyled::virtual_vessel
