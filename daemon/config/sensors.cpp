/// [[sensor]]: where its readings come from and what they mean.

#include <fmt/format.h>

#include <map>
#include <set>
#include <stdexcept>

#include "daemon/config/readers.hpp"
#include "sensors/intake.hpp"
#include "sensors/topic.hpp"
#include "sensors/units/units.hpp"

namespace gyled::config {
namespace {

using namespace std::chrono_literals;
using base::Quantity;
using sensors::Calibration;
using sensors::SensorSpec;

const Choices<sensors::PayloadKind> payload_kinds{{"number", sensors::PayloadKind::number},
                                                  {"json", sensors::PayloadKind::json},
                                                  {"senml", sensors::PayloadKind::senml}};
const Choices<sensors::TimeUnit> time_units{{"automatic", sensors::TimeUnit::automatic},
                                            {"s", sensors::TimeUnit::seconds},
                                            {"ms", sensors::TimeUnit::milliseconds},
                                            {"rfc3339", sensors::TimeUnit::rfc3339}};
const Choices<Calibration::Element> elements{{"steinhart_hart", Calibration::Element::steinhart_hart},
                                             {"beta", Calibration::Element::beta},
                                             {"pt100", Calibration::Element::pt100},
                                             {"ratiometric", Calibration::Element::ratiometric}};

Choices<Quantity> measured_quantities() {
    Choices<Quantity> out;
    for (const Quantity quantity : base::all_quantities())
        if (base::is_measured(quantity)) out.emplace_back(base::name(quantity), quantity);
    return out;
}

void check_topic(Section& section, std::string_view key, const std::string& topic) {
    if (section.has(key) && !sensors::topic_filter_valid(topic))
        section.mistake(
            key,
            fmt::format("{}: '{}' is not an MQTT topic filter: + stands for one whole level, # only for the "
                        "whole end",
                        key, topic));
}

void check_unit(Section& section, const SensorSpec& sensor) {
    if (sensors::unit_fits(sensor.quantity, sensor.unit)) return;
    const std::vector<std::string> units = sensors::units_for(sensor.quantity);
    section.mistake("unit",
                    fmt::format("unit: '{}' is not a unit of {}{}", sensor.unit, base::name(sensor.quantity),
                                hint(sensor.unit, Words{units.begin(), units.end()})));
}

void read_calibration(Section& section, Calibration& calibration) {
    auto how = section.table("calibration");
    if (!how) return;
    how->number("offset", calibration.offset);
    how->numbers("polynomial", calibration.polynomial);
    how->points("table", calibration.table);
    how->choice("element", calibration.element, elements);
    how->numbers("constants", calibration.element_constants);
    how->flag("on_raw", calibration.on_raw);
    how->finish();
}

void read_availability(Section& section, SensorSpec& sensor) {
    auto how = section.table("available");
    if (!how) return;
    sensors::Availability available;
    how->require({"topic"});
    how->text("topic", available.topic);
    how->text("yes", available.yes);
    how->text("no", available.no);
    check_topic(*how, "topic", available.topic);
    if (available.yes == available.no) how->mistake("no", "no: the same word as yes");
    how->finish();
    sensor.available = available;
}

/// `unit = "bar"`, or `unit = { pointer = "/u" }`.
void read_unit(Section& section, SensorSpec& sensor) {
    const toml::node* const node = section.find("unit");
    if (node == nullptr || !node->is_table()) return section.text("unit", sensor.unit);
    auto how = section.table("unit");
    how->require({"pointer"});
    how->text("pointer", sensor.unit_pointer);
    how->finish();
}

void read_where(Section& section, SensorSpec& sensor) {
    auto how = section.table("where");
    if (!how) return;
    sensors::ProbeName probe;
    how->require({"pointer", "equals"});
    how->text("pointer", probe.pointer);
    how->text("equals", probe.equals);
    how->finish();
    sensor.where = probe;
}

void read_time(Section& section, SensorSpec& sensor) {
    section.text("time", sensor.time_pointer);
    section.choice("time_unit", sensor.time_unit, time_units);
    section.text("time_zone", sensor.time_zone);
    if (section.has("time_zone") && !display::time_zone_known(sensor.time_zone))
        section.mistake("time_zone",
                        fmt::format("time_zone: '{}' is no time zone that this machine knows; write "
                                    "its name as in \"Europe/Lisbon\"",
                                    sensor.time_zone));
    if (section.has("time_zone") && sensor.time_unit != sensors::TimeUnit::automatic)
        section.mistake("time_zone",
                        "time_zone: is for times without an offset, which time_unit = \"automatic\" reads");
}

/// The plausible range is written in the sensor's own unit.
void read_plausible(Section& section, SensorSpec& sensor) {
    std::optional<base::Band> band;
    section.band("plausible", band, {});
    if (!band || !sensors::unit_fits(sensor.quantity, sensor.unit)) return;
    sensor.low = sensors::to_canonical(sensor.quantity, sensor.unit, band->low);
    sensor.high = sensors::to_canonical(sensor.quantity, sensor.unit, band->high);
}

/// What the sensors' own part of the house would refuse later is a mistake now. What was reported already is
/// put right first, so that it does not hide the rest.
void check_with_intake(Section& section, SensorSpec sensor) {
    sensor.id = "rehearsal";
    sensor.available.reset();
    if (!sensors::topic_filter_valid(sensor.topic)) sensor.topic = "any";
    if (!sensors::unit_fits(sensor.quantity, sensor.unit)) sensor.unit.clear();
    if (!display::time_zone_known(sensor.time_zone)) sensor.time_zone = "UTC";
    try {
        const sensors::Intake rehearsal{{sensor}};
    } catch (const std::invalid_argument& problem) {
        std::string what = problem.what();
        constexpr std::string_view prefix = "sensor 'rehearsal': ";
        if (what.starts_with(prefix)) what.erase(0, prefix.size());
        const bool of_calibration = section.has("calibration") && what.find("JSON pointer") == what.npos;
        section.objection(what, of_calibration ? "calibration" : "topic");
    }
}

/// Keys that mean something for some sensors only.
void check_belonging(Section& section, const SensorSpec& sensor) {
    if (sensor.payload != sensors::PayloadKind::json)
        section.refuse({"time", "time_unit", "time_zone"},
                       "is for payload = \"json\"; senml carries its own time, a bare number has none");
    if (sensor.payload != sensors::PayloadKind::json) section.refuse({"where"}, "is for payload = \"json\"");
    if (sensor.payload != sensors::PayloadKind::json && !sensor.unit_pointer.empty())
        section.mistake("unit", "unit: a pointer is for payload = \"json\"; senml carries its own unit");
    if (sensor.payload == sensors::PayloadKind::number)
        section.refuse({"pointer"}, "is for payload = \"json\" or \"senml\"");
    if (sensor.absolute && sensor.quantity != Quantity::head_pressure &&
        sensor.quantity != Quantity::supply_pressure)
        section.mistake("absolute", "absolute: only head_pressure and supply_pressure may be absolute");
}

SensorSpec read_sensor(Section& section, const std::vector<batch::VesselSpec>& vessels,
                       const std::string& time_zone) {
    SensorSpec sensor;
    sensor.time_zone = time_zone;
    section.require({"vessel", "measures", "topic"});
    section.identifier("id", sensor.id);
    section.text("vessel", sensor.vessel);
    if (section.has("vessel")) check_vessel_exists(section, "vessel", sensor.vessel, vessels);
    std::optional<Quantity> measures;
    section.choice("measures", measures, measured_quantities());
    sensor.quantity = measures.value_or(Quantity{});
    section.text("topic", sensor.topic);
    check_topic(section, "topic", sensor.topic);
    section.choice("payload", sensor.payload, payload_kinds);
    section.text("pointer", sensor.pointer);
    read_where(section, sensor);
    read_unit(section, sensor);
    if (measures) check_unit(section, sensor);
    read_time(section, sensor);
    section.flag("absolute", sensor.absolute);
    section.duration("silent_after", sensor.silent_after, {1s, 24h * 365});
    const std::size_t mistakes_before = section.report().count();
    read_calibration(section, sensor.calibration);
    if (measures) read_plausible(section, sensor);
    const bool numbers_fine = section.report().count() == mistakes_before;
    read_availability(section, sensor);
    check_belonging(section, sensor);
    section.finish();
    if (measures && numbers_fine) check_with_intake(section, sensor);
    return sensor;
}

/// "north-gravity", "north-gravity-2" ...: for sensors that the person has not named.
void name_the_nameless(std::vector<SensorSpec>& all) {
    std::set<std::string> taken;
    for (const SensorSpec& sensor : all) taken.insert(sensor.id);
    std::map<std::string, int> numbers;
    for (SensorSpec& sensor : all) {
        if (!sensor.id.empty()) continue;
        const std::string base = fmt::format("{}-{}", sensor.vessel, base::name(sensor.quantity));
        do {
            const int n = ++numbers[base];
            sensor.id = n == 1 ? base : fmt::format("{}-{}", base, n);
        } while (!taken.insert(sensor.id).second);
    }
}

}  // namespace

std::vector<SensorSpec> read_sensors(Section& root, const std::vector<batch::VesselSpec>& vessels,
                                     const std::string& time_zone) {
    std::vector<SensorSpec> all;
    Names ids;
    for (Section& section : root.tables("sensor")) {
        all.push_back(read_sensor(section, vessels, time_zone));
        ids.add(section, "id", all.back().id);
    }
    name_the_nameless(all);
    return all;
}

}  // namespace gyled::config
