#pragma once
/// One sensor: decode, calibrate, judge; and its memory.

#include "daemon/base/clock.hpp"
#include "sensors/calibrate/calibrate.hpp"
#include "sensors/decode/payload.hpp"
#include "sensors/health/health.hpp"
#include "sensors/plausibility/event_time.hpp"
#include "sensors/plausibility/jump.hpp"
#include "sensors/plausibility/range.hpp"
#include "sensors/plausibility/track.hpp"
#include "sensors/reject.hpp"
#include "sensors/spec.hpp"
#include "sensors/state.hpp"
#include "sensors/waiting.hpp"

namespace gyled::sensors {

/// Thread: its owner's. Never throws on input.
class Sensor {
public:
    /// Throws std::invalid_argument, in words for the person who wrote the configuration and without the
    /// sensor's id, when the spec cannot work.
    explicit Sensor(SensorSpec spec);

    [[nodiscard]] const SensorSpec& spec() const { return spec_; }

    /// Reads `payload`, which is `message`'s, and adds what it finds to `out`: at least one entry. False, and
    /// nothing added, when the payload speaks of other probes only.
    [[nodiscard]] bool read(Payload& payload, const Message& message, Intaken& out);
    /// From now on what comes after an absence without a time of its own waits for the rest of it; `settle`
    /// hands it out. `heard_until`: when the last run ended, of use to a sensor that has never spoken.
    void hold_backlogs(std::optional<Timestamp> heard_until);
    /// Dates what waits, once nothing follows; `at_once`: without waiting for that.
    void settle(Timestamp now, bool at_once, Intaken& out);
    [[nodiscard]] bool holds_a_backlog() const { return !waiting_.empty(); }
    /// See `Intake::twin`.
    [[nodiscard]] Sensor twin() const;
    /// Our clock was set: what is remembered of moments that are yet to come is forgotten or corrected.
    void set_clock(const base::ClockSet& set);
    /// Reads a word on the availability topic. Precondition: the spec has one.
    void note_availability(const Message& message, Intaken& out);

    [[nodiscard]] SensorHealth health() const;
    [[nodiscard]] const SensorState& state() const { return state_; }
    /// Takes up where `state` ended; false when it is of another version, sensor or quantity, and then
    /// nothing has changed.
    bool restore(const SensorState& state);
    /// An accepted reading of an earlier life. One that the state knows already changes the track only.
    void remember(const Past& reading);

private:
    /// What a sample's message says of it.
    struct Origin {
        const std::string& topic;
        Timestamp arrived;
        bool retained = false;
    };
    [[nodiscard]] EventTime date(const Sample& sample, const Message& message);
    [[nodiscard]] bool repeats_a_time(const Reading& reading) const;
    void take(const Sample& sample, const Message& message, Intaken& out);
    void take_undated(const Sample& sample, const Message& message, Intaken& out);
    void take(const Sample& sample, const EventTime& when, const Origin& origin, Intaken& out);
    void date_what_waits(Held how, Intaken& out);
    void reject(const Refusal& refusal, const std::string& topic, Intaken& out);
    void believe(const Past& reading);
    [[nodiscard]] const Unit* unit_of(const Sample& sample) const;
    [[nodiscard]] std::optional<Refusal> refuse_one_wire(const Sample& sample, const Unit& unit,
                                                         Timestamp at);
    /// Sets the quality. The refusal tells why when it is not `accepted` or `last_known`.
    [[nodiscard]] std::optional<Refusal> judge(Reading& reading);

    // As configured.
    SensorSpec spec_;
    Calibrator calibrator_;
    Place place_;
    Range range_;
    std::optional<JumpLimit> jump_limit_;

    // Memory.
    SensorState state_;
    Track track_;  // made from stored readings after a restart, so no part of the state
    bool holds_backlogs_ = false;
    Waiting waiting_;  // no part of the state: the source keeps the messages
    TimesGiven times_given_;
};

}  // namespace gyled::sensors
