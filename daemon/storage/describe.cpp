// What the dashboards need to know about vessels and units.

#include <array>
#include <cmath>

#include "daemon/storage/database.hpp"
#include "daemon/storage/known.hpp"
#include "daemon/storage/store.hpp"

namespace gyled::storage {
namespace {

using display::Display;

/// c0 + c1 d + c2 d^2 + c3 d^3 with d = canonical - about: what SQL needs to speak in the person's unit.
struct Conversion {
    double about = 0;
    std::array<double, 4> c{0, 1, 0, 0};
};

bool nearly_equal(double a, double b) {
    return std::abs(a - b) <= 1e-9 * (1 + std::abs(a) + std::abs(b));
}

/// The cubic through four points, by Newton's divided differences, in powers of the distance from the first.
Conversion cubic_through(const std::array<double, 4>& x, std::array<double, 4> y) {
    for (std::size_t order = 1; order < 4; ++order)
        for (std::size_t i = 3; i >= order; --i) y[i] = (y[i] - y[i - 1]) / (x[i] - x[i - order]);
    const double a = x[1] - x[0], b = x[2] - x[0];
    return {x[0], {y[0], y[1] - y[2] * a + y[3] * a * b, y[2] - y[3] * (a + b), y[3]}};
}

/// Every unit is a straight line but degrees Plato, which are a cubic in specific gravity
/// (brewing/extract.hpp): four points between 0.98 and 1.12 give it back.
Conversion conversion_of(const Display& display, Quantity quantity) {
    if (base::is_moment(quantity)) return {};
    const auto shown = [&](double canonical) { return display.shown(quantity, canonical); };
    if (nearly_equal(shown(0) + shown(1000), 2 * shown(500)))
        return {0, {shown(0), (shown(1000) - shown(0)) / 1000, 0, 0}};
    constexpr std::array<double, 4> gravities{1.04, 0.98, 1.08, 1.12};
    return cubic_through(
        gravities, {shown(gravities[0]), shown(gravities[1]), shown(gravities[2]), shown(gravities[3])});
}

void put_limit(Database& database, std::int64_t vessel, const char* kind, std::optional<double> kpa) {
    if (kpa) database.prepared("INSERT INTO vessel_limit VALUES (?1, ?2, ?3)", vessel, kind, *kpa).run();
}

void describe_vessel(Database& database, Known& known, const batch::VesselSpec& spec) {
    const std::int64_t id = known.vessel(database, spec.id);
    database
        .prepared("UPDATE vessel SET name = ?2, total_volume_l = ?3, configured = 1 WHERE id = ?1", id,
                  spec.name.empty() ? spec.id : spec.name, spec.total_volume_l)
        .run();
    put_limit(database, id, "working_pressure", spec.working_pressure_kpa);
    put_limit(database, id, "relief_pressure", spec.relief_pressure_kpa);
    put_limit(database, id, "weakest_fitting", spec.weakest_fitting_kpa);
    put_limit(database, id, "lowest", spec.lowest_limit_kpa());
    put_limit(database, id, "vacuum", spec.vacuum_limit_kpa);
}

void describe_quantity(Database& database, const Display& display, Quantity quantity) {
    const Conversion conversion = conversion_of(display, quantity);
    const auto& c = conversion.c;
    database
        .prepared(
            "UPDATE quantity SET unit = ?2, about = ?3, c0 = ?4, c1 = ?5, c2 = ?6, c3 = ?7 WHERE id = ?1",
            static_cast<int>(quantity), display.unit_text(quantity), conversion.about, c[0], c[1], c[2], c[3])
        .run();
}

}  // namespace

void Store::describe(const std::vector<batch::VesselSpec>& vessels, const Display& display,
                     const std::string& site) {
    Database& db = database();
    try {
        Transaction transaction{db};
        db.execute("UPDATE vessel SET configured = 0");
        db.execute("DELETE FROM vessel_limit");
        for (const batch::VesselSpec& vessel : vessels) describe_vessel(db, *known_, vessel);
        for (const Quantity quantity : base::all_quantities()) describe_quantity(db, display, quantity);
        remember("site", site);
        remember("time_zone", display.time_zone);
        remember("dash_version", "1");
        transaction.commit();
    } catch (...) {
        known_->forget();
        throw;
    }
}

}  // namespace gyled::storage
