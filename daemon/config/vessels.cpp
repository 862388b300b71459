/// [[vessel]]: what stands on the plate. People rely on these numbers near pressure: contradictions are
/// mistakes.

#include <fmt/format.h>

#include "daemon/batch/plate_check.hpp"
#include "daemon/config/readers.hpp"

namespace gyled::config {
namespace {

// Far beyond any vessel this daemon is for, yet near enough to catch psi or Pa written as kPa.
constexpr Limits pressure_kpa{1, 2000};

void check_pressures(Section& section, const batch::VesselSpec& vessel, const display::Display& display) {
    for (const batch::Finding& finding : batch::check_vessel(vessel, display)) {
        if (finding.severity == batch::Severity::dangerous)
            section.mistake(finding.key, finding.text);
        else
            section.warning(finding.key, finding.text);
    }
}

batch::VesselSpec read_vessel(Section& section, const display::Display& display) {
    batch::VesselSpec vessel;
    section.require({"id", "total_volume_l"});
    section.identifier("id", vessel.id);
    vessel.name = vessel.id;
    section.text("name", vessel.name);
    section.number("total_volume_l", vessel.total_volume_l, {0.5, 100'000});
    section.number("working_pressure_kpa", vessel.working_pressure_kpa, pressure_kpa);
    section.number("relief_pressure_kpa", vessel.relief_pressure_kpa, pressure_kpa);
    section.number("weakest_fitting_kpa", vessel.weakest_fitting_kpa, pressure_kpa);
    section.number("vacuum_limit_kpa", vessel.vacuum_limit_kpa);
    if (!(vessel.vacuum_limit_kpa <= 0 && vessel.vacuum_limit_kpa > -101.325))
        section.mistake(
            "vacuum_limit_kpa",
            fmt::format("vacuum_limit_kpa: {} is not allowed; it is a gauge pressure from 0 down to -101, as "
                        "-5; 0 when "
                        "the maker gives none: then the vessel must never be pulled below the air outside",
                        vessel.vacuum_limit_kpa));
    section.number("warmest_c", vessel.warmest_c, {-5, 60});
    section.number("room_m3", vessel.room_m3, room_m3);
    section.number("heater_kw", vessel.heater_kw, {0.05, 500});
    check_pressures(section, vessel, display);
    section.finish();
    return vessel;
}

}  // namespace

std::vector<batch::VesselSpec> read_vessels(Section& root, const Site& site) {
    std::vector<batch::VesselSpec> vessels;
    Names ids;
    for (Section& section : root.tables("vessel")) {
        vessels.push_back(read_vessel(section, site.display));
        if (!vessels.back().room_m3) vessels.back().room_m3 = site.room_m3;
        ids.add(section, "id", vessels.back().id);
    }
    if (!root.has("vessel")) root.report().add({}, "there is no [[vessel]]: nothing to watch");
    return vessels;
}

void check_vessel_exists(Section& section, std::string_view key, const std::string& id,
                         const std::vector<batch::VesselSpec>& vessels) {
    Words known;
    for (const batch::VesselSpec& vessel : vessels) {
        if (vessel.id == id) return;
        if (!vessel.id.empty()) known.push_back(vessel.id);
    }
    if (!known.empty())
        section.mistake(key, fmt::format("{}: there is no vessel '{}'{}", key, id, hint(id, known)));
}

}  // namespace gyled::config
