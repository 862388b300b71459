#include "sensors/virtual_vessel/files.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "sensors/virtual_vessel/document.hpp"
#include "sensors/virtual_vessel/plant/scenarios.hpp"

namespace gyled::virtual_vessel {
namespace {

/// A TOML basic string.
std::string quoted(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\')
            out += {'\\', c};
        else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f)
            out += fmt::format("\\u{:04X}", static_cast<unsigned char>(c));
        else
            out += c;
    }
    return out + '"';
}

std::string_view unit_written(Quantity q) {
    if (q == Quantity::gravity) return "SG";
    return field_of(q) == "kpa" ? "kPa" : "degC";
}

/// Long enough not to ring while a sensor sleeps as it should.
std::string silent_after(const SensorOptions& o) {
    const double seconds = std::max({900.0, 3 * o.cadence_s, 3 * o.upload_every_s});
    return fmt::format("{}min", static_cast<long>(seconds / 60));
}

}  // namespace

std::string batch_file(const Scenario& s) {
    std::string out;
    auto to = std::back_inserter(out);
    fmt::format_to(to, "# The virtual vessel's scenario \"{}\", seed {}.\n", s.name, s.seed);
    fmt::format_to(to, "name = {}\nvessel = {}\nvolume_l = {:.1f}\n", quoted(s.batch_name),
                   quoted(s.vessel.id), s.volume_l);
    fmt::format_to(to, "original_gravity = {:.4f}\n", s.original_gravity);
    fmt::format_to(to, "expected_final_gravity = {:.3f}\n", expected_final_gravity(s));
    fmt::format_to(to, "culture = \"{}\"\ntarget_co2_volumes = {:.1f}\n", name(s.culture),
                   s.target_co2_volumes);
    for (const Stage& stage : s.stages) {
        fmt::format_to(to, "\n[[stage]]\nkind = \"{}\"\n", name(stage.kind));
        fmt::format_to(to, "start = {}\n", base::to_rfc3339(s.begin + base::hours(stage.start_hours)));
        fmt::format_to(to, "temperature_c = [{:.1f}, {:.1f}]\n", stage.temperature_c - stage.band_c,
                       stage.temperature_c + stage.band_c);
        fmt::format_to(to, "head_space = \"{}\"\n", name(stage.head_space));
        if (stage.head_space == HeadSpace::spunded || stage.head_space == HeadSpace::supplied)
            fmt::format_to(to, "head_pressure_kpa = {:.1f}\n", stage.head_pressure_kpa);
    }
    return out;
}

std::string config_file(const Scenario& s, const ConfigNames& names) {
    std::string out;
    auto to = std::back_inserter(out);
    const VesselOptions& v = s.vessel;
    fmt::format_to(to, "# Listens to the virtual vessel: scenario \"{}\", seed {}.\n", s.name, s.seed);
    fmt::format_to(to, "[broker]\nurl = {}\n\n", quoted(names.broker_url));
    fmt::format_to(
        to, "[site]\nname = \"Harbour cellar\"\nelevation_m = {:.0f}\ntime_zone = \"Europe/Lisbon\"\n\n",
        v.elevation_m);
    fmt::format_to(to, "[[vessel]]\nid = {}\ntotal_volume_l = {:.1f}\n", quoted(v.id), v.total_volume_l);
    fmt::format_to(to, "working_pressure_kpa = {:.0f}\nrelief_pressure_kpa = {:.0f}\n",
                   v.working_pressure_kpa, v.relief_pressure_kpa);
    fmt::format_to(to, "vacuum_limit_kpa = {:.0f}\nwarmest_c = {:.0f}\n", v.vacuum_limit_kpa,
                   std::max(25.0, v.room_c + v.room_swing_c + 2));
    for (const SensorOptions& o : s.sensors) {
        fmt::format_to(to, "\n[[sensor]]\nvessel = {}\nmeasures = \"{}\"\n", quoted(v.id), name(o.quantity));
        fmt::format_to(to, "topic = {}\n",
                       quoted(fmt::format("{}/{}", names.topic_prefix, name(o.quantity))));
        fmt::format_to(
            to,
            "payload = \"json\"\npointer = \"/{}\"\nunit = \"{}\"\ntime = \"/ts\"\nsilent_after = \"{}\"\n",
            field_of(o.quantity), unit_written(o.quantity), silent_after(o));
        if (o.quantity == Quantity::barometric_pressure) fmt::format_to(to, "absolute = true\n");
    }
    return out;
}

}  // namespace gyled::virtual_vessel
