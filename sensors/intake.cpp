#include "sensors/intake.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <stdexcept>
#include <unordered_map>

#include "sensors/calibrate/calibrate.hpp"
#include "sensors/decode/json.hpp"
#include "sensors/decode/number.hpp"
#include "sensors/decode/senml.hpp"
#include "sensors/decode/text.hpp"
#include "sensors/plausibility/event_time.hpp"
#include "sensors/plausibility/jump.hpp"
#include "sensors/plausibility/one_wire.hpp"
#include "sensors/plausibility/range.hpp"
#include "sensors/plausibility/stuck.hpp"
#include "sensors/plausibility/track.hpp"

namespace gyled::sensors {
namespace {

using base::Result;

Range range_of(const SensorSpec& spec) {
    const Range usual = default_range(spec.measures, spec.absolute);
    const Range range{spec.low.value_or(usual.low), spec.high.value_or(usual.high)};
    if (!(range.low < range.high))
        throw std::invalid_argument("the plausible range is empty: low must be below high");
    return range;
}

/// One sensor: what the configuration says of it, how it is read, and how it has been doing.
struct Sensor {
    explicit Sensor(SensorSpec given)
        : spec{std::move(given)}, calibrator{spec}, range{range_of(spec)}, jumps{spec.measures} {
        if (!base::is_measured(spec.measures))
            throw std::invalid_argument("only measured quantities have sensors");
        if (!topic_filter_valid(spec.topic))
            throw std::invalid_argument(fmt::format("'{}' is not an MQTT topic filter", spec.topic));
        if (spec.available && !topic_filter_valid(spec.available->topic))
            throw std::invalid_argument(
                fmt::format("'{}' is not an MQTT topic filter", spec.available->topic));
        if (spec.payload == PayloadKind::json) place = json_place(spec);
        if (spec.payload == PayloadKind::senml && spec.pointer.empty())
            throw std::invalid_argument("senml needs the resolved name of its records as the pointer");
        spec.absolute = spec.absolute && (spec.measures == Quantity::head_pressure ||
                                          spec.measures == Quantity::supply_pressure);
        says_celsius = &calibrator.payload_unit() == &base_unit(Dimension::temperature);
        health.id = spec.id;
        health.vessel = spec.vessel;
        health.topic = spec.topic;
        health.measures = spec.measures;
    }

    SensorSpec spec;
    Calibrator calibrator;
    Range range;
    JsonPlace place;
    bool says_celsius = false;  // the payload's own number is in degC
    JumpWatch jumps;
    Track track;
    OneWireWatch one_wire;
    StuckWatch stillness;
    SensorHealth health;
};

/// Builds a sensor, or throws std::invalid_argument with the sensor's name in front.
Sensor checked(SensorSpec spec) {
    const std::string id = spec.id;
    try {
        return Sensor{std::move(spec)};
    } catch (const std::invalid_argument& problem) {
        throw std::invalid_argument(fmt::format("sensor '{}': {}", id, problem.what()));
    }
}

/// Reads one message for one sensor after another, and parses its JSON once for all of them.
class Reader {
public:
    explicit Reader(const Message& message) : message_{message} {}

    /// Hands each sample and each refusal to its function.
    template <class OnSample, class OnRefusal>
    void read(const Sensor& sensor, OnSample on_sample, OnRefusal on_refusal) {
        if (sensor.spec.payload == PayloadKind::number) {
            const Decoded sample = decode_number(message_.payload);
            sample ? on_sample(*sample) : on_refusal(sample.error());
            return;
        }
        if (!document_) document_.emplace(parse_json(message_.payload));
        if (!*document_) {
            on_refusal(document_->error());
        } else if (sensor.spec.payload == PayloadKind::json) {
            const Decoded sample = decode_json(**document_, sensor.place);
            sample ? on_sample(*sample) : on_refusal(sample.error());
        } else {
            const SenmlRecords found = decode_senml(**document_, sensor.spec.pointer, message_.arrived);
            for (const Sample& sample : found.samples) on_sample(sample);
            for (const Refusal& refusal : found.refusals) on_refusal(refusal);
        }
    }

private:
    const Message& message_;
    std::optional<Result<nlohmann::json, Refusal>> document_;
};

/// The unit a sample is in. A bare number and a number in a JSON string must repeat the configured unit if
/// they name one; a SenML record may use any unit of the same dimension, for the format says what its unit
/// names mean.
const Unit* unit_of(const Sensor& sensor, const Sample& sample) {
    const Unit& expected = sensor.calibrator.payload_unit();
    if (sample.unit.empty()) return &expected;
    const Unit* named = find_unit(expected.dimension, sample.unit);
    return named == &expected || sensor.spec.payload == PayloadKind::senml ? named : nullptr;
}

}  // namespace

struct Intake::State {
    /// Who listens to a topic, by index.
    struct Claims {
        std::vector<std::size_t> readings;
        std::vector<std::size_t> availability;
    };

    std::vector<Sensor> sensors;
    std::unordered_map<std::string, Claims> claims;  // as topics have been seen
    static constexpr std::size_t most_topics = 10'000;
    static constexpr std::size_t longest_kept_topic = 256;
    Claims passing;  // of a topic too long to be kept
    std::uint64_t unclaimed = 0;

    Claims find_claims(const std::string& topic) const {
        Claims found;
        for (std::size_t i = 0; i < sensors.size(); ++i) {
            const SensorSpec& spec = sensors[i].spec;
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

    static void reject(Sensor& sensor, const Message& message, const Refusal& refusal, Intaken& out) {
        ++sensor.health.rejected[refusal.reason];
        sensor.health.last_reject = refusal.detail;
        out.rejects.push_back({sensor.spec.id, message.topic, refusal.reason, refusal.detail});
    }

    static void note_availability(Sensor& sensor, const Message& message, Intaken& out);
    static void take(Sensor& sensor, const Message& message, const Sample& sample, Intaken& out);
    static std::optional<Refusal> judge(Sensor& sensor, Reading& reading);
};

void Intake::State::note_availability(Sensor& sensor, const Message& message, Intaken& out) {
    const std::string_view word = trimmed(message.payload);
    if (word == sensor.spec.available->yes || word == sensor.spec.available->no)
        sensor.health.available = word == sensor.spec.available->yes;
    else
        reject(sensor, message,
               {"unknown_availability", fmt::format("neither yes nor no: '{}'", excerpt(word))}, out);
}

/// Sets the verdict. The refusal tells why when it is not `accepted`.
std::optional<Refusal> Intake::State::judge(Sensor& sensor, Reading& reading) {
    const auto refuse = [&](Verdict verdict, std::string detail) {
        reading.verdict = verdict;
        return Refusal{std::string{name(verdict)}, std::move(detail)};
    };
    const std::string_view unit = base::unit(reading.quantity);
    if (!sensor.range.holds(reading.value))
        return refuse(Verdict::out_of_range, fmt::format("{:.6g} {} is outside {:g} to {:g}", reading.value,
                                                         unit, sensor.range.low, sensor.range.high));
    if (reading.verdict == Verdict::last_known) return std::nullopt;
    const Track::Neighbours neighbours = sensor.track.around(reading.at);
    if (neighbours.before && neighbours.before->at == reading.at)
        return refuse(Verdict::duplicate, fmt::format("seen before: {}", base::to_rfc3339(reading.at)));
    if (sensor.jumps.refuses(neighbours, {reading.at, reading.value})) {
        const Past& near = neighbours.before ? *neighbours.before : *neighbours.after;
        return refuse(Verdict::impossible_jump,
                      fmt::format("{:.6g} {}, but {:.6g} {:.0f} s away: believed once three readings agree",
                                  reading.value, unit, near.value,
                                  std::chrono::duration<double>(reading.at - near.at).count()));
    }
    return std::nullopt;
}

void Intake::State::take(Sensor& sensor, const Message& message, const Sample& sample, Intaken& out) {
    const Unit* unit = unit_of(sensor, sample);
    if (unit == nullptr)
        return reject(
            sensor, message,
            {"wrong_unit", fmt::format("expected {}, found '{}'", sensor.calibrator.payload_unit().name,
                                       excerpt(sample.unit))},
            out);

    const EventTime when =
        event_time(message.retained && sample.relative_time ? std::nullopt : sample.at, message.arrived);
    if (when.source == EventTime::Source::too_old)
        return reject(sensor, message,
                      {"too_old", fmt::format("taken {}, more than 400 days before it arrived",
                                              base::to_rfc3339(when.at))},
                      out);

    if (sensor.says_celsius && unit == &sensor.calibrator.payload_unit())
        if (const auto fault = sensor.one_wire.refuse(sample.value, sensor.track.around(when.at).before))
            return reject(sensor, message, *fault, out);

    const auto value = sensor.calibrator.apply(sample.value, *unit);
    if (!value) return reject(sensor, message, value.error(), out);

    const bool undated = message.retained && when.source != EventTime::Source::payload;
    out.readings.push_back({.sensor = sensor.spec.id,
                            .vessel = sensor.spec.vessel,
                            .quantity = sensor.spec.measures,
                            .at = when.at,
                            .arrived = message.arrived,
                            .value = *value,
                            .absolute = sensor.spec.absolute,
                            .verdict = undated ? Verdict::last_known : Verdict::accepted});
    Reading& reading = out.readings.back();
    if (const auto refusal = judge(sensor, reading)) return reject(sensor, message, *refusal, out);

    SensorHealth& health = sensor.health;
    if (undated) {
        health.last_known = reading.value;
        return;
    }
    ++health.accepted;
    if (when.source == EventTime::Source::clock_ahead) ++health.clock_ahead;
    sensor.track.insert({reading.at, reading.value});
    sensor.stillness.note({reading.at, reading.value});
    if (!health.last_at || reading.at > *health.last_at) {
        health.last_at = reading.at;
        health.last_value = reading.value;
    }
}

Intake::Intake(std::vector<SensorSpec> specs) : state_{std::make_unique<State>()} {
    std::set<std::string> ids;
    for (SensorSpec& spec : specs) {
        if (spec.id.empty()) throw std::invalid_argument("a sensor has no id");
        if (!ids.insert(spec.id).second)
            throw std::invalid_argument(fmt::format("sensor '{}': two sensors have this id", spec.id));
        state_->sensors.push_back(checked(std::move(spec)));
    }
}

Intake::~Intake() = default;
Intake::Intake(Intake&&) noexcept = default;
Intake& Intake::operator=(Intake&&) noexcept = default;

Intaken Intake::accept(const Message& message) {
    Intaken out;
    const State::Claims& claims = state_->claims_of(message.topic);
    if (claims.readings.empty() && claims.availability.empty()) {
        ++state_->unclaimed;
        out.rejects.push_back({"", message.topic, "unclaimed_topic", "no sensor claims this topic"});
        return out;
    }
    for (const std::size_t i : claims.availability)
        State::note_availability(state_->sensors[i], message, out);
    Reader reader{message};
    for (const std::size_t i : claims.readings) {
        Sensor& sensor = state_->sensors[i];
        reader.read(
            sensor, [&](const Sample& sample) { State::take(sensor, message, sample, out); },
            [&](const Refusal& refusal) { State::reject(sensor, message, refusal, out); });
    }
    return out;
}

std::vector<std::string> Intake::topic_filters() const {
    std::set<std::string> filters;
    for (const Sensor& sensor : state_->sensors) {
        filters.insert(sensor.spec.topic);
        if (sensor.spec.available) filters.insert(sensor.spec.available->topic);
    }
    return {filters.begin(), filters.end()};
}

std::vector<SensorHealth> Intake::health() const {
    std::vector<SensorHealth> all;
    for (const Sensor& sensor : state_->sensors) {
        all.push_back(sensor.health);
        all.back().stuck = sensor.stillness.is_stuck();
    }
    return all;
}

std::map<std::string, std::uint64_t> Intake::rejected() const {
    std::map<std::string, std::uint64_t> totals;
    if (state_->unclaimed > 0) totals["unclaimed_topic"] = state_->unclaimed;
    for (const Sensor& sensor : state_->sensors)
        for (const auto& [reason, count] : sensor.health.rejected) totals[reason] += count;
    return totals;
}

std::uint64_t Intake::accepted() const {
    std::uint64_t sum = 0;
    for (const Sensor& sensor : state_->sensors) sum += sensor.health.accepted;
    return sum;
}

void Intake::remember(const std::string& id, Timestamp at, double value) {
    for (Sensor& sensor : state_->sensors) {
        if (sensor.spec.id != id) continue;
        sensor.track.insert({at, value});
        sensor.stillness.note({at, value});
        if (!sensor.health.last_at || at > *sensor.health.last_at) {
            sensor.health.last_at = at;
            sensor.health.last_value = value;
        }
    }
}

}  // namespace gyled::sensors
