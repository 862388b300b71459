#pragma once
/// May this beer go into bottles or cans now, and what would they hold? Volumes of CO2 now, what the extract
/// left would add, priming; held against what the package should hold, when served and where it is stored
/// warmest. It never says that a package is safe: **a bottle that holds too much bursts.** It says what
/// speaks against it, or that nothing was found that does.
///
/// Pure; any thread; nothing throws. Canonical units; pressures kPa gauge.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/base/pressure.hpp"
#include "daemon/batch/record.hpp"
#include "daemon/brewing/packaging.hpp"
#include "daemon/display/display.hpp"

namespace gyled::batch {

struct PackagingAsked {
    brewing::PackageKind package = brewing::package_kinds.front();
    std::optional<double> target_volumes;  ///< primed up to this; nothing: no sugar
    brewing::Sugar sugar = brewing::Sugar::sucrose;
    double serving_c = 8, storage_c = 30;  ///< degC, 0 to 40
};

/// What is known of the beer.
struct PackagingEvidence {
    const Record& record;
    const base::Estimates& estimates;
    base::Pressure ambient;
    Timestamp now;
};

struct PackagingParameters {
    Duration stood_least = std::chrono::hours{
        48};  ///< from the moment it was found finished: two days are the least (common practice: 48 to 72 h)
    double slope_most_sg_per_day =
        0.0005;  ///< the steepest fall that its interval leaves open (brewing/fermentation.hpp)
    double equal_points = 1.0;         ///< two hydrometer readings that differ by less are equal
    double forced_below_points = 1.0;  ///< a forced ferment that ended deeper by more: the beer is not done
};

struct PackagingAnswer {
    base::Estimate now, from_extract, from_sugar, in_all;  ///< volumes of CO2; nothing known: all are NaN
    double sugar_g_per_litre = 0;                          ///< to be added; 0 without a target
    base::Estimate serving_kpa, warm_kpa;                  ///< in the package; `high` with the low solubility
    std::vector<std::string> against;   ///< why it must not be packaged now, most important first
    std::vector<std::string> cautions;  ///< what is to be minded in any case
    [[nodiscard]] bool nothing_found() const { return against.empty(); }
};

[[nodiscard]] PackagingAnswer check_packaging(const PackagingAsked& asked, const PackagingEvidence& evidence,
                                              const display::Display& display,
                                              const PackagingParameters& parameters = {});

}  // namespace gyled::batch
