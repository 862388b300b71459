/// [[sensor]]: where its readings come from and what they mean.

#include <fmt/format.h>

#include <map>
#include <set>
#include <stdexcept>

#include "daemon/config/readers.hpp"

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
    if (sensors::unit_fits(sensor.measures, sensor.unit)) return;
    const std::vector<std::string> units = sensors::units_for(sensor.measures);
    section.mistake(
        "unit", fmt::format("unit: '{}' is not a unit of {}{}", sensor.unit, base::name(sensor.measures),
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

/// The plausible range is written in the sensor's own unit.
void read_plausible(Section& section, SensorSpec& sensor) {
    std::optional<base::Band> band;
    section.band("plausible", band, {});
    if (!band || !sensors::unit_fits(sensor.measures, sensor.unit)) return;
    sensor.low = sensors::to_canonical(sensor.measures, sensor.unit, band->low);
    sensor.high = sensors::to_canonical(sensor.measures, sensor.unit, band->high);
}

/// What the sensors' own part of the house would refuse later is a mistake now. What was reported already is
/// put right first, so that it does not hide the rest.
void check_with_intake(Section& section, SensorSpec sensor) {
    sensor.id = "rehearsal";
    sensor.available.reset();
    if (!sensors::topic_filter_valid(sensor.topic)) sensor.topic = "any";
    if (!sensors::unit_fits(sensor.measures, sensor.unit)) sensor.unit.clear();
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
        section.refuse({"time", "time_unit"},
                       "is for payload = \"json\"; senml carries its own time, a bare number has none");
    if (sensor.payload == sensors::PayloadKind::number)
        section.refuse({"pointer"}, "is for payload = \"json\" or \"senml\"");
    if (sensor.absolute && sensor.measures != Quantity::head_pressure &&
        sensor.measures != Quantity::supply_pressure)
        section.mistake("absolute", "absolute: only head_pressure and supply_pressure may be absolute");
}

SensorSpec read_sensor(Section& section, const std::vector<batch::VesselSpec>& vessels) {
    SensorSpec sensor;
    section.require({"vessel", "measures", "topic"});
    section.identifier("id", sensor.id);
    section.text("vessel", sensor.vessel);
    if (section.has("vessel")) check_vessel_exists(section, "vessel", sensor.vessel, vessels);
    std::optional<Quantity> measures;
    section.choice("measures", measures, measured_quantities());
    sensor.measures = measures.value_or(Quantity{});
    section.text("topic", sensor.topic);
    check_topic(section, "topic", sensor.topic);
    section.choice("payload", sensor.payload, payload_kinds);
    section.text("pointer", sensor.pointer);
    section.text("unit", sensor.unit);
    if (measures) check_unit(section, sensor);
    section.text("time", sensor.time_pointer);
    section.choice("time_unit", sensor.time_unit, time_units);
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
        const std::string base = fmt::format("{}-{}", sensor.vessel, base::name(sensor.measures));
        do {
            const int n = ++numbers[base];
            sensor.id = n == 1 ? base : fmt::format("{}-{}", base, n);
        } while (!taken.insert(sensor.id).second);
    }
}

}  // namespace

std::vector<SensorSpec> read_sensors(Section& root, const std::vector<batch::VesselSpec>& vessels) {
    std::vector<SensorSpec> all;
    Names ids;
    for (Section& section : root.tables("sensor")) {
        all.push_back(read_sensor(section, vessels));
        ids.add(section, "id", all.back().id);
    }
    name_the_nameless(all);
    return all;
}

}  // namespace gyled::config
