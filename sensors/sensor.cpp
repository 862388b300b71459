#include "sensors/sensor.hpp"

#include <fmt/format.h>

#include <stdexcept>
#include <utility>

#include "daemon/zone/zone.hpp"
#include "sensors/decode/text.hpp"
#include "sensors/plausibility/one_wire.hpp"
#include "sensors/topic.hpp"

namespace gyled::sensors {
namespace {

void require_filter(const std::string& topic) {
    if (!topic_filter_valid(topic))
        throw std::invalid_argument(fmt::format("'{}' is not an MQTT topic filter", topic));
}

SensorSpec checked(SensorSpec spec) {
    if (!base::is_measured(spec.quantity))
        throw std::invalid_argument("only measured quantities have sensors");
    require_filter(spec.topic);
    if (spec.available) require_filter(spec.available->topic);
    spec.absolute = spec.absolute &&
                    (spec.quantity == Quantity::head_pressure || spec.quantity == Quantity::supply_pressure);
    return spec;
}

JsonPlace json_place_of(const SensorSpec& spec) {
    JsonPlace place = json_place(spec.pointer, spec.time_pointer, spec.time_unit);
    if (!zone::known(spec.time_zone))
        throw std::invalid_argument(
            fmt::format("'{}' is no time zone that this machine knows", spec.time_zone));
    place.zone = spec.time_zone;
    if (!spec.unit_pointer.empty()) place.unit = json_pointer(spec.unit_pointer);
    if (spec.where) place.where = {json_pointer(spec.where->pointer), spec.where->equals};
    return place;
}

Place place_of(const SensorSpec& spec) {
    Place place{.kind = spec.payload, .json = {}, .name = {}};
    if (spec.payload == PayloadKind::json) place.json = json_place_of(spec);
    if (spec.payload == PayloadKind::senml) place.name = spec.pointer;
    if (spec.payload == PayloadKind::senml && spec.pointer.empty())
        throw std::invalid_argument("senml needs the resolved name of its records as the pointer");
    return place;
}

Range range_of(const SensorSpec& spec) {
    const Range usual = default_range(spec.quantity, spec.absolute);
    const Range range{spec.low.value_or(usual.low), spec.high.value_or(usual.high)};
    if (!(range.low < range.high))
        throw std::invalid_argument("the plausible range is empty: low must be below high");
    return range;
}

std::string seen_before(Timestamp at) {
    return fmt::format("seen before: {}", base::to_rfc3339(at));
}

double seconds(Duration duration) {
    return std::chrono::duration<double>(duration).count();
}

}  // namespace

Sensor::Sensor(SensorSpec spec)
    : spec_{checked(std::move(spec))},
      calibrator_{spec_.quantity, spec_.unit, spec_.calibration},
      place_{place_of(spec_)},
      range_{range_of(spec_)},
      jump_limit_{jump_limit(spec_.quantity)} {
    state_.sensor = spec_.id;
    state_.quantity = spec_.quantity;
}

bool Sensor::read(Payload& payload, const Message& message, Intaken& out) {
    return payload.read(
        place_, [&](const Sample& sample) { take(sample, message, out); },
        [&](const Refusal& refusal) { reject(refusal, message.topic, out); });
}

void Sensor::hold_backlogs(std::optional<Timestamp> heard_until) {
    holds_backlogs_ = true;
    if (!state_.undated.cadence.last) state_.undated.cadence.last = heard_until;
}

Sensor Sensor::twin() const {
    Sensor twin{spec_};
    twin.state_ = state_;
    twin.state_.latest.reset();
    twin.state_.doubted.clear();
    twin.state_.undated = {};
    twin.times_given_ = times_given_;
    return twin;
}

void Sensor::set_clock(const base::ClockSet& set) {
    const auto correct = [&](Timestamp& t) { t = set.corrected(t); };
    track_.forget_after(set.to);
    state_.doubted.clear();
    state_.own_clock = {};  // it was held against ours
    sensors::set_clock(state_.undated, set);
    waiting_.set_clock(set);
    if (state_.latest) correct(state_.latest->at);
    if (state_.stillness.since) correct(state_.stillness.since->at);
    correct(state_.stillness.until);
}

void Sensor::note_availability(const Message& message, Intaken& out) {
    const std::string_view word = trimmed(message.payload);
    if (word == spec_.available->yes || word == spec_.available->no)
        state_.available = word == spec_.available->yes;
    else
        reject({"unknown_availability", fmt::format("neither yes nor no: '{}'", excerpt(word))},
               message.topic, out);
}

void Sensor::take(const Sample& sample, const Message& message, Intaken& out) {
    if (!sample.at && !message.retained) return take_undated(sample, message, out);
    take(sample, date(sample, message), {message.topic, message.arrived, message.retained}, out);
}

void Sensor::take_undated(const Sample& sample, const Message& message, Intaken& out) {
    const bool is_second_of_its_message = !waiting_.empty() && waiting_.arrivals().back() == message.arrived;
    if (is_second_of_its_message || was_spread(state_.undated, message.arrived))
        return reject({std::string{name(Quality::duplicate)}, seen_before(message.arrived)}, message.topic,
                      out);
    if (!holds_backlogs_)
        if (const auto time = times_given_.to(message.arrived))
            return take(sample, event_time(time, message.arrived), {message.topic, message.arrived}, out);
    const bool may_be_old = message.stamp == Stamp::lost || is_after_absence(state_.undated, message.arrived);
    if (!waiting_.empty() || (holds_backlogs_ && may_be_old)) return waiting_.add(sample, message);
    note_live(state_.undated, message.arrived);
    take(sample, event_time({}, message.arrived), {message.topic, message.arrived}, out);
}

void Sensor::settle(Timestamp now, bool at_once, Intaken& out) {
    if (const auto how = waiting_.due(now); how || (at_once && !waiting_.empty()))
        date_what_waits(how.value_or(Held::some), out);
}

/// The newest of a backlog may be news.
void Sensor::date_what_waits(Held how, Intaken& out) {
    const Waiting held = std::exchange(waiting_, {});
    const auto& arrivals = held.arrivals();
    const auto times = spread(state_.undated, arrivals, how);
    for (std::size_t i = 0; i < arrivals.size(); ++i) {
        EventTime when = event_time(times ? (*times)[i] : arrivals[i], arrivals[i]);
        if (times) when.lateness = i + 1 < arrivals.size() ? Lateness::backlog : Lateness::live;
        take(held.samples()[i], when, {held.topic(), arrivals[i]}, out);
        if (!times) note_live(state_.undated, arrivals[i]);
    }
    if (!times) return;
    note_spread(state_.undated, arrivals, *times);
    times_given_.note(arrivals, *times);
}

void Sensor::take(const Sample& sample, const EventTime& when, const Origin& origin, Intaken& out) {
    const auto refuse = [&](const Refusal& refusal) { reject(refusal, origin.topic, out); };
    const Unit* unit = unit_of(sample);
    if (unit == nullptr)
        return refuse({"wrong_unit", fmt::format("expected {}, found '{}'", calibrator_.payload_unit().name,
                                                 excerpt(sample.unit))});
    if (when.source == EventTime::Source::too_old)
        return refuse({"too_old", fmt::format("taken {}, more than 400 days before it arrived",
                                              base::to_rfc3339(when.at))});
    if (const auto fault = refuse_one_wire(sample, *unit, when.at)) return refuse(*fault);
    const auto value = calibrator_.apply(sample.value, *unit);
    if (!value) return refuse(value.error());

    const bool undated = origin.retained && when.source != EventTime::Source::payload;
    Reading& reading =
        out.readings.emplace_back(Reading{.sensor = spec_.id,
                                          .vessel = spec_.vessel,
                                          .quantity = spec_.quantity,
                                          .at = when.at,
                                          .arrived = origin.arrived,
                                          .value = *value,
                                          .absolute = spec_.absolute,
                                          .quality = undated ? Quality::last_known : Quality::accepted,
                                          .lateness = when.lateness});
    if (repeats_a_time(reading)) reading.at = reading.arrived;
    if (const auto refusal = judge(reading)) return refuse(*refusal);
    if (undated) {
        state_.last_known = reading.value;
        return;
    }
    ++state_.accepted;
    if (when.source == EventTime::Source::clock_ahead) ++state_.clock_ahead;
    believe({reading.at, reading.value});
}

/// When it was taken, and whether it is news. What the broker kept for us, and a time that was counted back
/// from now, say nothing of the sensor's clock.
EventTime Sensor::date(const Sample& sample, const Message& message) {
    if (message.retained && sample.relative_time) return event_time({}, message.arrived);
    if (!sample.at || message.retained || sample.relative_time) return event_time(sample.at, message.arrived);
    const Dated dated = sensors::date(state_.own_clock, *sample.at, message.arrived);
    EventTime when = event_time(dated.at, message.arrived);
    const bool was_never_set = when.source == EventTime::Source::too_old && dated.lateness == Lateness::live;
    if (was_never_set) when = event_time({}, message.arrived);
    when.lateness = dated.lateness;
    return when;
}

/// A slow clock that was put back tells times that it has told before, with other values.
bool Sensor::repeats_a_time(const Reading& reading) const {
    if (reading.lateness != Lateness::live && reading.lateness != Lateness::unproven) return false;
    const auto known = track_.around(reading.at).before;
    return known && known->at == reading.at && known->value != reading.value;
}

void Sensor::reject(const Refusal& refusal, const std::string& topic, Intaken& out) {
    ++state_.rejected[refusal.reason];
    state_.last_reject = refusal.detail;
    out.rejects.push_back({spec_.id, topic, refusal.reason, refusal.detail});
}

/// The unit a sample is in. A bare number and a number in a JSON string must repeat the configured unit if
/// they name one; a SenML record, and a document with a place for it, may use any unit of the same dimension:
/// what its unit is, the payload is asked to say.
const Unit* Sensor::unit_of(const Sample& sample) const {
    const Unit& expected = calibrator_.payload_unit();
    if (sample.unit.empty()) return &expected;
    const Unit* named = find_unit(expected.dimension, sample.unit);
    const bool may_choose = spec_.payload == PayloadKind::senml || !spec_.unit_pointer.empty();
    return named == &expected || may_choose ? named : nullptr;
}

/// The faults of the 1-wire bus are known by numbers in degC: only a payload that speaks degC has them.
std::optional<Refusal> Sensor::refuse_one_wire(const Sample& sample, const Unit& unit, Timestamp at) {
    const bool says_celsius =
        &unit == &calibrator_.payload_unit() && &unit == &base_unit(Dimension::temperature);
    if (!says_celsius) return std::nullopt;
    return refuse_one_wire_fault(sample.value, track_.around(at).before, state_.power_ups);
}

std::optional<Refusal> Sensor::judge(Reading& reading) {
    const auto refuse = [&](Quality quality, std::string detail) {
        reading.quality = quality;
        return Refusal{std::string{name(quality)}, std::move(detail)};
    };
    const std::string_view unit = base::unit(reading.quantity);
    if (!range_.holds(reading.value))
        return refuse(Quality::out_of_range, fmt::format("{:.6g} {} is outside {:g} to {:g}", reading.value,
                                                         unit, range_.low, range_.high));
    if (reading.quality == Quality::last_known) return std::nullopt;
    const Track::Neighbours neighbours = track_.around(reading.at);
    if (neighbours.before && neighbours.before->at == reading.at)
        return refuse(Quality::duplicate, seen_before(reading.at));
    if (jump_limit_ &&
        is_impossible_jump(*jump_limit_, neighbours, {reading.at, reading.value}, state_.doubted)) {
        const Past& near = neighbours.before ? *neighbours.before : *neighbours.after;
        return refuse(
            Quality::impossible_jump,
            fmt::format("{:.6g} {}, but {:.6g} {:.0f} s away: believed once {} readings agree", reading.value,
                        unit, near.value, seconds(reading.at - near.at), readings_that_move_the_level));
    }
    return std::nullopt;
}

void Sensor::believe(const Past& reading) {
    track_.insert(reading);
    note(state_.stillness, reading);
    if (!state_.latest || reading.at > state_.latest->at) state_.latest = reading;
}

SensorHealth Sensor::health() const {
    SensorHealth health{.id = spec_.id,
                        .vessel = spec_.vessel,
                        .topic = spec_.topic,
                        .quantity = spec_.quantity,
                        .last_at = {},
                        .last_value = {},
                        .last_known = state_.last_known,
                        .accepted = state_.accepted,
                        .rejected = state_.rejected,
                        .last_reject = state_.last_reject,
                        .available = state_.available,
                        .clock_ahead = state_.clock_ahead,
                        .clock_off = clock_off(state_.own_clock),
                        .stuck_since = stuck_since(state_.stillness)};
    if (state_.latest) {
        health.last_at = state_.latest->at;
        health.last_value = state_.latest->value;
    }
    return health;
}

bool Sensor::restore(const SensorState& state) {
    if (state.version != SensorState::current_version || state.sensor != spec_.id ||
        state.quantity != spec_.quantity)
        return false;
    state_ = state;
    if (state_.latest) track_.insert(*state_.latest);
    return true;
}

void Sensor::remember(const Past& reading) {
    believe(reading);
}

}  // namespace gyled::sensors
