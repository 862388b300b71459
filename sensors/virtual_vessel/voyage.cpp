#include "sensors/virtual_vessel/voyage.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sensors/virtual_vessel/plant/words.hpp"
#include "sensors/virtual_vessel/stop.hpp"

namespace gyled::virtual_vessel {
namespace {

using namespace std::chrono_literals;

Duration shortest_cadence(const Scenario& scenario) {
    double seconds = 60;
    for (const SensorOptions& o : scenario.sensors) seconds = std::min(seconds, o.cadence_s);
    return Duration{static_cast<long long>(seconds * 1000)};
}

std::string_view trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(" \t\r\n");
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

}  // namespace

Voyage::Voyage(const Options& options, Outlet& outlet)
    : options_{options},
      outlet_{outlet},
      plant_{options.scenario},
      instruments_{options.scenario},
      tick_{shortest_cadence(options.scenario)} {}

void Voyage::deliver_what_is_due() {
    for (const Sample& sample : instruments_.sample(plant_)) {
        if (stop_asked()) return;
        outlet_.deliver(document_of(sample, options_.topic_prefix));
        ++delivered_;
    }
}

void Voyage::hurry(Duration span) {
    const Timestamp end = plant_.time() + span;
    while (!stop_asked()) {
        deliver_what_is_due();
        if (plant_.time() >= end) return;
        plant_.advance(std::min(tick_, end - plant_.time()));
    }
}

void Voyage::keep_pace(std::optional<Duration> span) {
    const Timestamp from = plant_.time();
    const auto wall_from = std::chrono::steady_clock::now();
    while (!stop_asked() && (!span || plant_.time() < from + *span)) {
        obey_commands();
        const std::chrono::duration<double, std::milli> passed = std::chrono::steady_clock::now() - wall_from;
        Timestamp goal =
            options_.pace
                ? options_.pace->at(std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now()))
                : from + Duration{static_cast<long long>(passed.count() * options_.speed)};
        if (span) goal = std::min(goal, from + *span);
        while (!stop_asked() && plant_.time() < goal) {
            plant_.advance(std::min(tick_, goal - plant_.time()));
            deliver_what_is_due();
        }
        sleep_unless_stopped(options_.pace ? 20ms : 100ms);
    }
}

void Voyage::obey_commands() {
    while (const auto command = outlet_.next_command()) {
        const std::string answer = obey(*command);
        fmt::print(stderr, "gyle-vessel: {}\n", answer);
        outlet_.answer(answer);
    }
}

std::string Voyage::obey(const std::string& command) {
    const std::string_view text = trimmed(command);
    if (text.starts_with("end ")) {
        const auto kind = trouble_named(trimmed(text.substr(4)));
        if (!kind) return fmt::format("not understood: there is no trouble '{}'", trimmed(text.substr(4)));
        plant_.end(*kind);
        instruments_.speak_again(*kind);
        return fmt::format("ended: {}", name(*kind));
    }
    const auto typed = trouble_from(text);
    if (!typed) return fmt::format("not understood: {}", typed.error());
    if (typed->has_offset)
        return "not understood: sent to a running vessel, trouble begins now; leave out the @OFFSET";
    const Trouble& trouble = typed->trouble;
    if (trouble.kind == TroubleKind::sensor_dropout)
        instruments_.drop_out(trouble.sensor, plant_.time(), base::hours(std::min(trouble.hours, 1e6)));
    else
        plant_.start(trouble);
    return fmt::format("started: {}", text);
}

std::string truth_lines(const Scenario& scenario, std::optional<Duration> span) {
    std::string out;
    Plant plant{scenario};
    const Timestamp end = scenario.begin + span.value_or(base::hours(scenario.duration_hours));
    while (!stop_asked()) {
        const Truth& t = plant.truth();
        const nlohmann::ordered_json line{{"time", base::to_rfc3339(t.time)},
                                          {"stage", base::name(t.stage)},
                                          {"sg", t.sg},
                                          {"rate_sg_per_day", t.rate_sg_per_day},
                                          {"terminal_sg", t.terminal_sg},
                                          {"finish", base::to_rfc3339(t.finish)},
                                          {"alcohol_by_volume", t.alcohol_by_volume},
                                          {"co2_volumes", t.co2_volumes},
                                          {"head_pressure_kpa", t.head_pressure_kpa},
                                          {"beer_c", t.beer_c},
                                          {"kla_per_h", t.kla_per_h},
                                          {"solubility_factor", t.solubility_factor},
                                          {"head_space_l", t.head_space_l},
                                          {"leak_mmol_per_h_kpa", t.leak_mmol_per_h_kpa}};
        out += line.dump() + '\n';
        if (plant.time() >= end) break;
        plant.advance(std::min<Duration>(15min, end - plant.time()));
    }
    return out;
}

}  // namespace gyled::virtual_vessel
