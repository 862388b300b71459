#include "daemon/brewing/water.hpp"

#include <boost/math/tools/toms748_solve.hpp>
#include <cstdint>

namespace gyled::brewing {

double boiling_point_c(Pressure ambient) {
    constexpr double coldest = 0.0;
    constexpr double hottest = 366.0;
    const auto too_hot_by = [ambient](double celsius) {
        return std::log(saturation_pressure(celsius).kpa_absolute() / ambient.kpa_absolute());
    };
    const double at_coldest = too_hot_by(coldest);
    const double at_hottest = too_hot_by(hottest);
    if (!(at_coldest <= 0.0 && at_hottest >= 0.0 && ambient.kpa_absolute() > 0.0)) return std::nan("");
    std::uintmax_t steps = 60;
    const auto [low, high] =
        boost::math::tools::toms748_solve(too_hot_by, coldest, hottest, at_coldest, at_hottest,
                                          boost::math::tools::eps_tolerance<double>(40), steps);
    return (low + high) / 2.0;
}

}  // namespace gyled::brewing
