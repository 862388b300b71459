#pragma once
/// The GNU Scientific Library as a second opinion, and what the tests share.

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>

#include <functional>
#include <limits>
#include <memory>

namespace gyled::brewing {
using namespace base;

inline constexpr double nan_value = std::numeric_limits<double>::quiet_NaN();

/// Where `f` is zero between `low` and `high`, by GSL's Brent. NaN when the ends have the same sign.
inline double gsl_root(const std::function<double(double)>& f, double low, double high) {
    gsl_set_error_handler_off();
    gsl_function wrapped{
        [](double x, void* p) { return (*static_cast<const std::function<double(double)>*>(p))(x); },
        const_cast<std::function<double(double)>*>(&f)};
    const std::unique_ptr<gsl_root_fsolver, decltype(&gsl_root_fsolver_free)> solver{
        gsl_root_fsolver_alloc(gsl_root_fsolver_brent), gsl_root_fsolver_free};
    if (gsl_root_fsolver_set(solver.get(), &wrapped, low, high) != GSL_SUCCESS) return nan_value;
    for (int step = 0; step < 200; ++step) {
        gsl_root_fsolver_iterate(solver.get());
        if (gsl_root_test_interval(gsl_root_fsolver_x_lower(solver.get()),
                                   gsl_root_fsolver_x_upper(solver.get()), 0, 1e-14) == GSL_SUCCESS)
            break;
    }
    return gsl_root_fsolver_root(solver.get());
}

}  // namespace gyled::brewing
