#include "daemon/cellar/vessel_watch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "daemon/brewing/atmosphere.hpp"
#include "daemon/cellar/sentence.hpp"

namespace gyled::cellar {
namespace {

using namespace std::chrono_literals;
using base::Band;
using base::Estimate;
using base::HeadSpace;
using base::Quantity;
using base::StageKind;

/// A transducer's usual error: half a percent of a 5 bar span, and its zero drift (common practice).
constexpr double head_pressure_error_kpa = 2.0;

bool is_gas_pressure(Quantity q) {
    return q == Quantity::head_pressure || q == Quantity::supply_pressure;
}

std::string batch_id(const batch::Plan& plan, Timestamp at) {
    std::string id;
    for (const char c : plan.name) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (plain)
            id += c;
        else if (c >= 'A' && c <= 'Z')
            id += static_cast<char>(c - 'A' + 'a');
        else if (!id.empty() && id.back() != '-')
            id += '-';
    }
    while (!id.empty() && id.back() == '-') id.pop_back();
    return fmt::format("{}-{}", id.empty() ? "batch" : id, base::to_rfc3339(at).substr(0, 10));
}

}  // namespace

VesselWatch::VesselWatch(batch::VesselSpec spec, std::vector<SensorWatch> sensors, const CellarSpec& cellar)
    : spec_{std::move(spec)},
      display_{cellar.display},
      ring_at_most_late_{cellar.ring_at_most_late},
      ambient_{brewing::atmosphere_at(cellar.elevation_m)},
      panel_{spec_.id, cellar.rules, cellar.display} {
    if (spec_.name.empty()) spec_.name = spec_.id;
    situation_.vessel = spec_.id;
    situation_.vessel_name = spec_.name;
    situation_.pressure_limit_kpa = spec_.lowest_limit_kpa();
    situation_.vacuum_limit_kpa = spec_.vacuum_limit_kpa;
    for (const SensorWatch& sensor : sensors)
        situation_.sensors.push_back(
            {sensor.id, sensor.measures, std::nullopt, Timestamp{}, sensor.silent_after});
}

void VesselWatch::note_latest(Quantity quantity, Timestamp at, double gauge_value) {
    auto& latest = situation_.latest[quantity];
    if (at >= latest.at) latest = {gauge_value, at};
}

void VesselWatch::note_barometer(Timestamp at, double kpa_absolute) {
    ambient_ = base::Pressure::from_kpa_absolute(kpa_absolute);
    if (estimator_) estimator_->observe(Quantity::barometric_pressure, at, kpa_absolute);
}

void VesselWatch::observe(Quantity quantity, Timestamp at, double gauge_value) {
    if (quantity == Quantity::head_pressure) pressure_.add(at, gauge_value);
    if (quantity == Quantity::beer_temperature) heating_.add(at, gauge_value);
    note_latest(quantity, at, gauge_value);
    if (estimator_ && quantity != Quantity::barometric_pressure)
        estimator_->observe(quantity, at, gauge_value);
}

void VesselWatch::accept(const sensors::Reading& reading, Timestamp now, Effects& effects) {
    double value = reading.value;
    if (reading.absolute && is_gas_pressure(reading.quantity))
        value = base::Pressure::from_kpa_absolute(value).kpa_gauge(ambient_);
    effects.readings.push_back(
        {reading.sensor, spec_.id, reading.quantity, reading.at, reading.arrived, value, reading.verdict});
    // A pressure beyond what its sensor is thought to read is doubted as a measurement, never as a danger.
    if (reading.quantity == Quantity::head_pressure && reading.verdict == sensors::Verdict::out_of_range &&
        value > situation_.pressure_limit_kpa.value_or(std::numeric_limits<double>::infinity())) {
        note_latest(reading.quantity, reading.at, value);
        judge(now, effects);
    }
    if (reading.verdict != sensors::Verdict::accepted) return;
    for (auto& sensor : situation_.sensors)
        if (sensor.sensor == reading.sensor)
            sensor.last_at = std::max(sensor.last_at.value_or(reading.at), reading.at);
    observe(reading.quantity, reading.at, value);
    if (is_gas_pressure(reading.quantity) || reading.quantity == Quantity::beer_temperature)
        judge(now, effects);
}

// ---- the batch

void VesselWatch::open(const batch::Record& record, std::optional<estimation::LearnedCurve> learned) {
    batch_ = record;
    const batch::Plan& plan = batch_->plan;
    estimation::BatchContext context;
    context.total_volume_l = spec_.total_volume_l;
    context.beer_volume_l = plan.volume_l;
    context.warmest_c = spec_.warmest_c;
    context.relief_kpa = spec_.relief_pressure_kpa;
    context.ambient = ambient_;
    context.gravity.culture = plan.culture;
    context.gravity.original_gravity = plan.original_gravity;
    context.gravity.expected_final_gravity = plan.expected_final_gravity;
    context.gravity.learned = std::move(learned);
    context.target_co2_volumes = plan.target_co2_volumes;
    for (const batch::StagePlan& stage : plan.stages)
        if (stage.start)
            context.planned.push_back(
                {*stage.start, stage.kind, stage.head_space, stage.head_pressure_kpa, stage.temperature_c});
    estimator_.emplace(std::move(context), record.started);
    situation_.batch_name = plan.name;
    situation_.facts.clear();
}

/// What the estimators and the rules need to know of the stage the batch stands in.
void VesselWatch::stand_in_stage() {
    const auto& entered = batch_->stages.back();
    const batch::StagePlan& stage = batch_->plan.stages.at(entered.index);
    situation_.stage = stage.kind;
    situation_.stage_since = entered.at;
    situation_.head_space = stage.head_space;
    situation_.head_pressure_set_kpa = stage.head_pressure_kpa;
    situation_.temperature_band_c = stage.temperature_c;
    situation_.pressure_band_kpa = stage.pressure_kpa;
    in_band_ = Duration{};
    in_band_seen_.reset();
    estimator_->enter(
        {entered.at, stage.kind, stage.head_space, stage.head_pressure_kpa, stage.temperature_c});
}

void VesselWatch::enter_index(std::size_t index, Timestamp at, const std::string& why) {
    batch_->stages.push_back({index, at, why, std::nullopt});
    stand_in_stage();
}

void VesselWatch::start(const StartBatch& command, std::optional<estimation::LearnedCurve> learned,
                        Timestamp now, Effects& effects) {
    if (batch_) {
        effects.problems.push_back(fmt::format("{} holds the batch '{}': end it before starting another.",
                                               spec_.name, batch_->plan.name));
        return;
    }
    if (command.plan.stages.empty()) {
        effects.problems.push_back(fmt::format("The batch '{}' has no stages.", command.plan.name));
        return;
    }
    if (command.plan.volume_l > spec_.total_volume_l) {
        effects.problems.push_back(fmt::format("{:.1f} L do not fit into {}: it holds {:.1f} L.",
                                               command.plan.volume_l, spec_.name, spec_.total_volume_l));
        return;
    }
    batch::Record record;
    record.plan = command.plan;
    record.started = command.plan.stages.front().start.value_or(command.at);
    record.id = command.id.empty() ? batch_id(record.plan, record.started) : command.id;
    open(record, std::move(learned));
    enter_index(0, record.started, "batch started");
    Effects planned;
    enter_planned(now, planned);
    effects.batches.push_back(*batch_);
    // A batch may be started late: from here on what lies before now is the past, and its readings come late.
    if (now > record.started) estimate(now, effects);
}

void VesselWatch::enter_planned(Timestamp now, Effects& effects) {
    if (!batch_) return;
    bool moved = false;
    while (batch_->stages.back().index + 1 < batch_->plan.stages.size()) {
        const std::size_t next = batch_->stages.back().index + 1;
        const auto start = batch_->plan.stages[next].start;
        if (!start || *start > now) break;
        enter_index(next, *start, "as planned");
        moved = true;
    }
    if (moved) effects.batches.push_back(*batch_);
}

void VesselWatch::enter(const EnterStage& command, Timestamp now, Effects& effects) {
    if (!batch_) {
        effects.problems.push_back(fmt::format("No batch is in {}.", spec_.name));
        return;
    }
    const std::size_t index = command.index.value_or(batch_->stages.back().index + 1);
    if (index >= batch_->plan.stages.size()) {
        effects.problems.push_back(fmt::format("The plan of '{}' has {} stages; there is no number {}.",
                                               batch_->plan.name, batch_->plan.stages.size(), index + 1));
        return;
    }
    if (command.at < batch_->stages.back().at) {
        effects.problems.push_back("A stage cannot begin before the one it follows.");
        return;
    }
    enter_index(index, std::min(command.at, now), command.why);
    effects.batches.push_back(*batch_);
}

void VesselWatch::end(const EndBatch& command, Timestamp now, Effects& effects) {
    if (!batch_) {
        effects.problems.push_back(fmt::format("No batch is in {}.", spec_.name));
        return;
    }
    batch_->ended = std::min(std::max(command.at, batch_->started), now);
    effects.batches.push_back(*batch_);
    batch_.reset();
    estimator_.reset();
    situation_.batch_name.reset();
    situation_.stage.reset();
    situation_.stage_since.reset();
    situation_.temperature_band_c.reset();
    situation_.pressure_band_kpa.reset();
    situation_.head_pressure_set_kpa.reset();
    situation_.head_space = HeadSpace::vented;
    situation_.facts.clear();
    situation_.estimates.clear();
    refresh_fast_estimates(now);
}

void VesselWatch::measure(const batch::HandMeasurement& command, Effects& effects) {
    if (!batch_) {
        effects.problems.push_back(
            fmt::format("No batch is in {}: there is nothing to note the measurement in.", spec_.name));
        return;
    }
    if (command.at < batch_->started) {
        effects.problems.push_back(fmt::format("That is before the batch '{}' began.", batch_->plan.name));
        return;
    }
    batch_->measurements.push_back(command);
    estimator_->measure(command.quantity, command.at, command.value);
    effects.batches.push_back(*batch_);
}

bool VesselWatch::acknowledge(const Acknowledge& command, Effects& effects) {
    const auto done = panel_.acknowledge(command.alarm, command.at);
    if (done)
        effects.transitions.push_back(*done);
    else
        effects.problems.push_back(done.error());
    return done.has_value();
}

bool VesselWatch::shelve(const Shelve& command, Effects& effects) {
    const auto done = panel_.shelve(command.alarm, command.at, command.until, command.reason);
    if (done)
        effects.transitions.push_back(*done);
    else
        effects.problems.push_back(done.error());
    return done.has_value();
}

// ---- time

void VesselWatch::tick(Timestamp now, Effects& effects) {
    enter_planned(now, effects);
    refresh_fast_estimates(now);
    judge(now, effects);
    note_stage_end(now, effects);
}

bool VesselWatch::has_late_readings() const {
    return estimator_ && estimator_->has_late_readings();
}

void VesselWatch::estimate(Timestamp now, Effects& effects) {
    refresh_fast_estimates(now);
    std::vector<estimation::Outlook> outlooks;
    if (estimator_) {
        outlooks = estimator_->advance(now);
        if (!outlooks.empty()) {
            situation_.estimates = outlooks.back().estimates;
            estimates_at_ = outlooks.back().at;
            refresh_fast_estimates(now);
            // The fast ones belong to this moment only, not to grid points told again.
            for (const auto& [quantity, value] : situation_.estimates)
                outlooks.back().estimates[quantity] = value;
        }
        take_facts(now, effects);
    } else {
        estimates_at_ = now;
        outlooks.push_back({now, situation_.estimates});
    }
    for (const auto& outlook : outlooks)
        for (const auto& [quantity, value] : outlook.estimates)
            effects.estimates.push_back({spec_.id, quantity, outlook.at, value});
    judge(now, effects);
}

/// Estimates that follow each reading: headroom, when the limit would be met, when a temperature is reached.
void VesselWatch::refresh_fast_estimates(Timestamp now) {
    auto& estimates = situation_.estimates;
    for (const Quantity q : {Quantity::pressure_headroom, Quantity::limit_time, Quantity::ready_time})
        estimates.erase(q);

    const auto head = situation_.latest.find(Quantity::head_pressure);
    if (situation_.pressure_limit_kpa && head != situation_.latest.end()) {
        const double room = *situation_.pressure_limit_kpa - head->second.value;
        estimates[Quantity::pressure_headroom] = {room, room - head_pressure_error_kpa,
                                                  room + head_pressure_error_kpa};
        // A valve that is meant to hold a set point is believed until the pressure is well beyond it.
        const bool held =
            situation_.head_space == HeadSpace::spunded || situation_.head_space == HeadSpace::supplied;
        const double set = situation_.head_pressure_set_kpa.value_or(0);
        const bool within_set = held && set < 0.95 * *situation_.pressure_limit_kpa &&
                                head->second.value < set + std::max(6.0, 0.08 * set);
        if (!within_set && now - head->second.at < 20min)
            if (const auto when = pressure_.time_to(*situation_.pressure_limit_kpa))
                estimates[Quantity::limit_time] = *when;
    }

    if (!batch_ || !situation_.stage) return;
    const batch::StagePlan& stage = batch_->plan.stages.at(batch_->stages.back().index);
    const auto beer = situation_.latest.find(Quantity::beer_temperature);
    if (beer == situation_.latest.end() || now - beer->second.at > 10min) return;
    std::optional<double> target = stage.end.temperature_c;
    if (!target && stage.temperature_c) {
        const Band band = *stage.temperature_c;
        if (beer->second.value < band.low) target = band.low;
        if (beer->second.value > band.high) target = band.high;
    }
    if (!target) return;
    if (const auto when = heating_.time_to(*target)) estimates[Quantity::ready_time] = *when;
}

void VesselWatch::judge(Timestamp now, Effects& effects) {
    if (now == Timestamp{}) return;
    refresh_fast_estimates(now);
    situation_.at = now;
    for (auto& sensor : situation_.sensors)
        if (sensor.watched_since == Timestamp{}) sensor.watched_since = now;
    for (const alarms::Transition& transition : panel_.judge(situation_)) {
        effects.transitions.push_back(transition);
        if (auto notice = annunciation::notice_for(transition)) effects.notices.push_back(std::move(*notice));
    }
}

/// Compares what the estimators hold to be so with what was told before; tells the difference.
void VesselWatch::take_facts(Timestamp now, Effects& effects) {
    auto& told = batch_->facts;
    const auto& believed = estimator_->facts();
    bool changed = false;
    std::map<estimation::FactKind, std::vector<std::size_t>> places;
    for (std::size_t i = 0; i < told.size(); ++i) places[told[i].kind].push_back(i);
    std::map<estimation::FactKind, std::size_t> seen;
    for (const estimation::Fact& fact : believed) {
        const std::size_t nth = seen[fact.kind]++;
        if (nth >= places[fact.kind].size()) {
            told.push_back(fact);
            effects.facts.push_back({spec_.id, batch_->id, fact});
            changed = true;
            continue;
        }
        estimation::Fact& known = told[places[fact.kind][nth]];
        if (known.revoked != fact.revoked) {
            const Timestamp at = known.at;
            known = fact;
            known.at = at;
            effects.facts.push_back({spec_.id, batch_->id, known});
            changed = true;
        }
    }
    for (const auto& [kind, indices] : places)
        for (std::size_t nth = seen[kind]; nth < indices.size(); ++nth) {
            estimation::Fact& known = told[indices[nth]];
            if (known.revoked) continue;
            known.revoked = true;
            known.revoked_at = now;
            known.revoked_because = "Readings that came late changed the picture.";
            effects.facts.push_back({spec_.id, batch_->id, known});
            changed = true;
        }
    situation_.facts = told;
    if (changed) effects.batches.push_back(*batch_);
}

bool VesselWatch::end_reached(Timestamp now, std::string& why) {
    const batch::StagePlan& stage = batch_->plan.stages.at(batch_->stages.back().index);
    const auto beer = situation_.latest.find(Quantity::beer_temperature);
    const bool fresh = beer != situation_.latest.end() && now - beer->second.at < 10min &&
                       beer->second.at >= batch_->stages.back().at;
    const auto holds = [&](estimation::FactKind kind) {
        return std::any_of(batch_->facts.begin(), batch_->facts.end(),
                           [&](const auto& fact) { return fact.kind == kind && !fact.revoked; });
    };
    switch (stage.end.when) {
        case batch::StageEnd::When::by_hand:
            return false;
        case batch::StageEnd::When::temperature_reached: {
            if (!fresh || !stage.end.temperature_c) return false;
            const bool cooling = stage.kind == StageKind::chill || stage.kind == StageKind::crash;
            const double target = *stage.end.temperature_c;
            const bool there = cooling ? beer->second.value <= target : beer->second.value >= target;
            why = fmt::format("{} reached", display_.text(Quantity::beer_temperature, target));
            return there;
        }
        case batch::StageEnd::When::time_in_band: {
            if (!stage.end.duration || !stage.temperature_c) return false;
            const bool inside = fresh && beer->second.value >= stage.temperature_c->low &&
                                beer->second.value <= stage.temperature_c->high;
            if (inside && in_band_seen_) in_band_ += now - *in_band_seen_;
            in_band_seen_ = inside ? std::optional{now} : std::nullopt;
            why = fmt::format("{} in the band", display::duration_text(*stage.end.duration));
            return in_band_ >= *stage.end.duration;
        }
        case batch::StageEnd::When::terminal_gravity:
            why = "terminal gravity reached";
            return holds(estimation::FactKind::fermentation_finished);
        case batch::StageEnd::When::carbonated:
            why = "carbonated";
            return holds(estimation::FactKind::carbonated);
    }
    return false;
}

void VesselWatch::note_stage_end(Timestamp now, Effects& effects) {
    if (!batch_ || batch_->stages.back().end_reached) return;
    std::string why;
    if (!end_reached(now, why)) return;
    batch_->stages.back().end_reached = now;
    effects.batches.push_back(*batch_);

    const std::size_t index = batch_->stages.back().index;
    const auto stage = base::name(batch_->plan.stages.at(index).kind);
    annunciation::Notice notice;
    notice.id = fmt::format("{}/stage_end/{}/{}", spec_.id, index, now.time_since_epoch().count() / 1000);
    notice.thread = notice.id;
    notice.kind = annunciation::Notice::Kind::information;
    notice.vessel = spec_.id;
    notice.rule = "stage_end";
    notice.priority = alarms::Priority::low;
    notice.title = fmt::format("{}: {} done, {}", spec_.name, stage, why).substr(0, 60);
    const bool last = index + 1 >= batch_->plan.stages.size();
    notice.text =
        fmt::format("{} ({}): {} since {}. {}", batch_->plan.name, stage, why, display_.local(now),
                    last ? "It was the last stage of the plan."
                         : fmt::format("Next in the plan: {}. Move on when you are ready: gyle batch next {}",
                                       base::name(batch_->plan.stages.at(index + 1).kind), spec_.id));
    notice.at = now;
    effects.notices.push_back(std::move(notice));
}

// ---- after a restart

void VesselWatch::recall(const batch::Record& record, std::optional<estimation::LearnedCurve> learned) {
    open(record, std::move(learned));
    const auto entered = batch_->stages;
    batch_->stages.clear();
    for (const auto& stage : entered) {
        batch_->stages.push_back(stage);
        stand_in_stage();
    }
    for (const batch::HandMeasurement& m : batch_->measurements)
        estimator_->measure(m.quantity, m.at, m.value);
    situation_.facts = batch_->facts;
}

void VesselWatch::recall(const ReadingPoint& reading) {
    for (auto& sensor : situation_.sensors)
        if (sensor.sensor == reading.sensor)
            sensor.last_at = std::max(sensor.last_at.value_or(reading.at), reading.at);
    observe(reading.quantity, reading.at, reading.value);
}

void VesselWatch::recalled(Timestamp now) {
    for (auto& sensor : situation_.sensors) sensor.watched_since = now;
    if (estimator_) {
        const auto outlooks = estimator_->advance(now);
        if (!outlooks.empty()) {
            situation_.estimates = outlooks.back().estimates;
            estimates_at_ = outlooks.back().at;
        }
    }
    refresh_fast_estimates(now);
}

std::optional<std::pair<std::string, estimation::LearnedCurve>> VesselWatch::learned() const {
    if (!estimator_ || batch_->plan.culture_name.empty()) return std::nullopt;
    auto curve = estimator_->learned();
    if (!curve) return std::nullopt;
    return std::pair{batch_->plan.culture_name, std::move(*curve)};
}

VesselView VesselWatch::view(Timestamp now) const {
    VesselView view;
    view.spec = spec_;
    view.at = now;
    view.latest = situation_.latest;
    view.estimates = situation_.estimates;
    view.estimates_at = estimates_at_;
    for (const alarms::Occurrence& standing : panel_.standing())
        view.alarms.push_back({standing.last, standing.shelved_until});
    if (batch_) {
        BatchView batch;
        batch.id = batch_->id;
        batch.name = batch_->plan.name;
        batch.plan = batch_->plan;
        batch.started = batch_->started;
        batch.stage_index = batch_->stages.back().index;
        batch.stage_since = batch_->stages.back().at;
        batch.facts = batch_->facts;
        if (batch.stage_index + 1 < batch.plan.stages.size())
            batch.next_stage = std::string{base::name(batch.plan.stages[batch.stage_index + 1].kind)};
        view.batch = std::move(batch);
    }
    view.sentence = sentence(view, display_);
    return view;
}

}  // namespace gyled::cellar
