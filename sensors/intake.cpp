#include "sensors/intake.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <stdexcept>
#include <unordered_map>
#include <utility>

#include "sensors/sensor.hpp"
#include "sensors/topic.hpp"

namespace gyled::sensors {
namespace {

constexpr const char* unclaimed_topic = "unclaimed_topic";
constexpr const char* unclaimed_probe = "unclaimed_probe";

/// Builds a sensor, or throws std::invalid_argument with the sensor's name in front.
Sensor checked(SensorSpec spec) {
    const std::string id = spec.id;
    try {
        return Sensor{std::move(spec)};
    } catch (const std::invalid_argument& problem) {
        throw std::invalid_argument(fmt::format("sensor '{}': {}", id, problem.what()));
    }
}

}  // namespace

struct Intake::Memory {
    /// Who listens to a topic, by index.
    struct Claims {
        std::vector<std::size_t> readings;
        std::vector<std::size_t> availability;
    };

    std::vector<Sensor> sensors, sensors_at_mark;
    std::unordered_map<std::string, Claims> claims;  // as topics have been seen
    static constexpr std::size_t most_topics = 10'000;
    static constexpr std::size_t longest_kept_topic = 256;
    Claims passing;                                                     // of a topic too long to be kept
    std::map<std::string, std::uint64_t> unclaimed, unclaimed_at_mark;  // what is no sensor's, by reason

    Claims find_claims(const std::string& topic) const {
        Claims found;
        for (std::size_t i = 0; i < sensors.size(); ++i) {
            const SensorSpec& spec = sensors[i].spec();
            if (topic_matches(spec.topic, topic)) found.readings.push_back(i);
            if (spec.available && topic_matches(spec.available->topic, topic))
                found.availability.push_back(i);
        }
        return found;
    }

    /// Valid until the next call.
    const Claims& claims_of(const std::string& topic) {
        if (const auto known = claims.find(topic); known != claims.end()) return known->second;
        if (topic.size() > longest_kept_topic) return passing = find_claims(topic);
        if (claims.size() >= most_topics) claims.clear();
        return claims.emplace(topic, find_claims(topic)).first->second;
    }

    bool restore(const SensorState& state) {
        if (state.sensor.empty() && state.version == SensorState::current_version) {
            unclaimed = state.rejected;
            return true;
        }
        return std::any_of(sensors.begin(), sensors.end(),
                           [&](Sensor& sensor) { return sensor.restore(state); });
    }
};

Intake::Intake(std::vector<SensorSpec> specs) : memory_{std::make_unique<Memory>()} {
    std::set<std::string> ids;
    for (SensorSpec& spec : specs) {
        if (spec.id.empty()) throw std::invalid_argument("a sensor has no id");
        if (!ids.insert(spec.id).second)
            throw std::invalid_argument(fmt::format("sensor '{}': two sensors have this id", spec.id));
        memory_->sensors.push_back(checked(std::move(spec)));
    }
}

Intake Intake::copy() const {
    Intake copy{{}};
    copy.memory_->sensors = memory_->sensors;
    return copy;
}

Intake Intake::twin() const {
    Intake twin{{}};
    for (const Sensor& sensor : memory_->sensors) twin.memory_->sensors.push_back(sensor.twin());
    return twin;
}

Intake::~Intake() = default;
Intake::Intake(Intake&&) noexcept = default;
Intake& Intake::operator=(Intake&&) noexcept = default;

Intaken Intake::accept(const Message& message) {
    Intaken out;
    const auto nobodys = [&](const char* reason, const char* detail) {
        ++memory_->unclaimed[reason];
        out.rejects.push_back({"", message.topic, reason, detail});
        return out;
    };
    const Memory::Claims& claims = memory_->claims_of(message.topic);
    if (claims.readings.empty() && claims.availability.empty())
        return nobodys(unclaimed_topic, "no sensor claims this topic");
    for (const std::size_t i : claims.availability) memory_->sensors[i].note_availability(message, out);
    Payload payload{message.payload, message.arrived};
    bool is_somebodys = !claims.availability.empty();
    for (const std::size_t i : claims.readings)
        is_somebodys |= memory_->sensors[i].read(payload, message, out);
    if (!is_somebodys) return nobodys(unclaimed_probe, "it speaks of a probe that no sensor claims");
    return out;
}

void Intake::hold_backlogs(std::optional<Timestamp> heard_until) {
    for (Sensor& sensor : memory_->sensors) sensor.hold_backlogs(heard_until);
}

Intaken Intake::settle(Timestamp now, bool at_once) {
    Intaken out;
    for (Sensor& sensor : memory_->sensors) sensor.settle(now, at_once, out);
    return out;
}

bool Intake::holds_a_backlog() const {
    return std::ranges::any_of(memory_->sensors, &Sensor::holds_a_backlog);
}

void Intake::mark() {
    memory_->sensors_at_mark = memory_->sensors;
    memory_->unclaimed_at_mark = memory_->unclaimed;
}

void Intake::return_to_mark() {
    memory_->sensors = std::exchange(memory_->sensors_at_mark, {});
    memory_->unclaimed = std::exchange(memory_->unclaimed_at_mark, {});
}

void Intake::set_clock(const base::ClockSet& set) {
    for (Sensor& sensor : memory_->sensors) sensor.set_clock(set);
}

std::vector<std::string> Intake::topic_filters() const {
    std::set<std::string> filters;
    for (const Sensor& sensor : memory_->sensors) {
        filters.insert(sensor.spec().topic);
        if (sensor.spec().available) filters.insert(sensor.spec().available->topic);
    }
    return {filters.begin(), filters.end()};
}

std::vector<SensorHealth> Intake::health() const {
    std::vector<SensorHealth> all;
    for (const Sensor& sensor : memory_->sensors) all.push_back(sensor.health());
    return all;
}

std::map<std::string, std::uint64_t> Intake::rejected() const {
    std::map<std::string, std::uint64_t> totals = memory_->unclaimed;
    for (const Sensor& sensor : memory_->sensors)
        for (const auto& [reason, count] : sensor.state().rejected) totals[reason] += count;
    return totals;
}

std::uint64_t Intake::accepted() const {
    std::uint64_t sum = 0;
    for (const Sensor& sensor : memory_->sensors) sum += sensor.state().accepted;
    return sum;
}

std::vector<SensorState> Intake::state() const {
    std::vector<SensorState> all;
    for (const Sensor& sensor : memory_->sensors) all.push_back(sensor.state());
    SensorState& nobody = all.emplace_back();
    nobody.rejected = memory_->unclaimed;
    return all;
}

std::vector<std::string> Intake::restore(const std::vector<SensorState>& states) {
    std::vector<std::string> left;
    for (const SensorState& state : states)
        if (!memory_->restore(state)) left.push_back(state.sensor);
    return left;
}

void Intake::remember(const std::string& id, Timestamp at, double value) {
    for (Sensor& sensor : memory_->sensors)
        if (sensor.spec().id == id) sensor.remember({at, value});
}

}  // namespace gyled::sensors
