#include "daemon/cellar/vessel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <utility>

#include "daemon/base/stage_words.hpp"
#include "daemon/base/text.hpp"
#include "daemon/batch/measurement.hpp"
#include "daemon/cellar/countdown.hpp"
#include "daemon/cellar/fact_ledger.hpp"
#include "daemon/cellar/plate_gate.hpp"
#include "daemon/cellar/sentence.hpp"

namespace gyled::cellar {
namespace {

using base::Quantity;

/// So far back the short-run trends look; without a batch nothing older is of use.
constexpr Duration trends_look_back = std::chrono::hours{3};

/// So long is the next message of a backlog waited for: one comes within a second, and a pressure is judged
/// within ten.
constexpr Duration unproven_waits = std::chrono::seconds{5};

std::vector<ExpectedSensor> sensors_of(const CellarSpec& cellar, const std::string& vessel) {
    std::vector<ExpectedSensor> sensors;
    std::copy_if(cellar.sensors.begin(), cellar.sensors.end(), std::back_inserter(sensors),
                 [&](const ExpectedSensor& sensor) { return sensor.vessel == vessel; });
    return sensors;
}

batch::VesselSpec named(batch::VesselSpec spec) {
    if (spec.name.empty()) spec.name = spec.id;
    return spec;
}

std::optional<estimation::LearnedCurve> prior_for(const batch::Plan& plan, const LearnedCurves& learned) {
    const auto found = learned.find(plan.culture_name);
    return found == learned.end() ? std::nullopt : std::optional{found->second};
}

/// The countdown, and the caution that the next hand needs.
std::string brew_day_words(const Countdown& left, const batch::StagePlan& stage) {
    std::string text = left.text + (left.detail.empty() ? "" : ", " + left.detail) + ".";
    if (stage.kind <= base::StageKind::boil) text += " Hot liquor and wort scald.";
    return text;
}

/// What moves a gas pressure or the beer may ask for a person at once.
bool is_urgent(Quantity q) {
    return q == Quantity::head_pressure || q == Quantity::supply_pressure || q == Quantity::beer_temperature;
}

}  // namespace

Vessel::Vessel(batch::VesselSpec spec, const CellarSpec& cellar)
    : spec_{named(std::move(spec))},
      site_{cellar.site},
      display_{cellar.display},
      steps_at_once_{cellar.steps_at_once},
      present_{spec_, sensors_of(cellar, spec_.id), cellar.elevation_m},
      short_run_{spec_},
      alarms_{spec_.id, cellar} {}

// ---- readings

ReadingPoint Vessel::point_of(const sensors::Reading& reading) const {
    return {reading.sensor, spec_.id,        reading.quantity,
            reading.at,     reading.arrived, present_.gauge_value(reading),
            reading.quality};
}

void Vessel::accept(const sensors::Reading& reading, Timestamp now, Effects& effects) {
    effects.readings.push_back(point_of(reading));
    const double value = effects.readings.back().value;
    // A pressure beyond what its sensor is thought to read is doubted as a measurement, never as a danger.
    const double limit = spec_.lowest_limit_kpa().value_or(std::numeric_limits<double>::infinity());
    const bool is_accepted = reading.quality == sensors::Quality::accepted;
    const bool is_danger = reading.quantity == Quantity::head_pressure && value > limit &&
                           reading.quality == sensors::Quality::out_of_range;
    if (reading.quantity == Quantity::head_pressure && (is_accepted || is_danger))
        take_pressure(reading, value);
    if (is_accepted) take_in(effects.readings.back(), reading.news_of());
    if (is_accepted && reading.quantity == Quantity::beer_temperature) note_dough_in(effects);
    if (is_accepted && reading.quantity == Quantity::head_pressure) test_tightness(reading.news_of(), value);
    if (is_danger || (is_accepted && is_urgent(reading.quantity))) evaluate(now, effects);
}

void Vessel::look_ahead(const sensors::Reading& reading, Timestamp now, Effects& effects) {
    using enum sensors::Lateness;
    const bool is_news = reading.lateness == none || reading.lateness == live;
    const bool may_be_danger =
        reading.quality == sensors::Quality::accepted || reading.quality == sensors::Quality::out_of_range;
    if (reading.quantity != Quantity::head_pressure || !is_news || !may_be_danger) return;
    present_.note_doubted(reading.quantity, reading.news_of(), present_.gauge_value(reading));
    evaluate(now, effects);
}

void Vessel::record(const sensors::Reading& reading, Effects& effects) {
    const ReadingPoint& point = effects.readings.emplace_back(point_of(reading));
    if (reading.quality == sensors::Quality::accepted) believe(point);
}

/// One that is beyond its sensor's range, or late and alone, is no measurement, but may be a danger.
void Vessel::take_pressure(const sensors::Reading& reading, double gauge_kpa) {
    const bool is_unproven = reading.lateness == sensors::Lateness::unproven;
    if (!is_unproven)
        unproven_pressure_.reset();
    else if (!unproven_pressure_)
        unproven_pressure_ = alarms::Latest{gauge_kpa, reading.arrived};
    else
        unproven_pressure_->value = gauge_kpa;
    if (!is_unproven && reading.quality == sensors::Quality::out_of_range)
        present_.note_doubted(reading.quantity, reading.news_of(), gauge_kpa);
}

/// Of what was recalled the sums know already: they come from the store with it.
void Vessel::test_tightness(Timestamp at, double gauge_kpa) {
    const alarms::Situation& now = present_.situation();
    if (now.stage != base::StageKind::tightness || now.head_space != base::HeadSpace::sealed) return;
    const auto celsius = present_.fresh(Quantity::beer_temperature);
    if (celsius && at >= *now.stage_since)
        estimation::trend::add(tightness_, {*now.stage_since, at, gauge_kpa, *celsius, present_.ambient()});
}

void Vessel::settle(Timestamp now, Effects& effects) {
    if (!unproven_pressure_ || now - unproven_pressure_->at < unproven_waits) return;
    present_.note_doubted(Quantity::head_pressure, unproven_pressure_->at, unproven_pressure_->value);
    unproven_pressure_.reset();
    evaluate(now, effects);
}

void Vessel::recall(const ReadingPoint& reading) {
    const Timestamp now = present_.situation().at;
    take_in(reading, now == Timestamp{} ? reading.at : std::min(reading.at, now));
}

void Vessel::take_in(const ReadingPoint& reading, Timestamp news_of) {
    present_.note(reading.sensor, reading.quantity, news_of, reading.value);
    short_run_.add(reading.quantity, news_of, reading.value);
    if (present_.situation().time_is_known) believe(reading);
}

void Vessel::believe(const ReadingPoint& reading) {
    if (batch_ && reading.quantity != Quantity::barometric_pressure)
        batch_->observe(reading.quantity, reading.at, reading.value);
}

void Vessel::note_barometer(Timestamp at, double kpa_absolute) {
    present_.set_ambient(kpa_absolute);
    if (batch_) show_batch();
    if (batch_ && present_.situation().time_is_known)
        batch_->observe(Quantity::barometric_pressure, at, kpa_absolute);
}

// ---- commands

bool Vessel::has_batch(Effects& effects) const {
    if (!batch_) effects.problems.push_back(fmt::format("No batch is in {}.", spec_.name));
    return batch_.has_value();
}

/// Against the plate by the air outside: where one of the two has changed.
void Vessel::show_batch() {
    const batch::Record& record = batch_->record();
    present_.set_batch(record, batch::check_plan(record.plan, around(), record.stages.back().index));
}

void Vessel::record_changed(Effects& effects) {
    show_batch();
    effects.batches.push_back(batch_->record());
}

void Vessel::start(const StartBatch& command, const LearnedCurves& learned, Timestamp now, Effects& effects) {
    const batch::Plan& plan = command.plan;
    if (batch_)
        effects.problems.push_back(fmt::format("{} holds the batch '{}': end it before starting another.",
                                               spec_.name, batch_->record().plan.name));
    else if (plan.stages.empty())
        effects.problems.push_back(fmt::format("The batch '{}' has no stages.", plan.name));
    else if (plan.volume_l > spec_.total_volume_l)
        effects.problems.push_back(fmt::format("{:.1f} L do not fit into {}: it holds {:.1f} L.",
                                               plan.volume_l, spec_.name, spec_.total_volume_l));
    if (!effects.problems.empty() || !passes(batch::check_plan(plan, around()), command.consent, effects))
        return;
    batch::Record record;
    record.plan = plan;
    record.started = plan.stages.front().start.value_or(command.at);
    record.id = command.id.empty() ? batch_id(plan, command.at, last_batch_) : command.id;
    record.prior = prior_for(plan, learned);
    record.uptake = uptake_;
    record.stages.push_back(
        {.index = 0, .at = record.started, .why = "batch started", .end_reached = std::nullopt});
    last_batch_ = record.id;
    ended_.reset();
    taught_.reset();
    batch_.emplace(std::move(record), spec_, present_.ambient());
    short_run_.set_volume(plan.volume_l);
    Effects told_with_the_start;
    enter_what_is_due(now, told_with_the_start);
    record_changed(effects);
    effects.answers.push_back(fmt::format("{} has started in {}.", plan.name, spec_.name));
    // Registered late: what the store knows of its past belongs to it, and is past: it makes no news.
    if (batch_->record().started < now) effects.recalls.push_back({spec_.id, batch_->record().started});
    if (batch_->record().started < now) estimate(now, effects);
}

void Vessel::enter_index(std::size_t index, Timestamp at, const std::string& why) {
    batch_->enter(index, at, why);
    show_batch();
}

void Vessel::enter_what_is_due(Timestamp now, Effects& effects) {
    if (!batch_) return;
    bool moved = false;
    while (const auto next = batch_->due(now)) {
        enter_index(*next, *batch_->record().plan.stages[*next].start, as_planned);
        moved = true;
    }
    if (moved) record_changed(effects);
}

void Vessel::enter(const EnterStage& command, Timestamp now, Effects& effects) {
    if (!has_batch(effects)) return;
    const batch::Record& record = batch_->record();
    const auto index = command.index ? base::Result<std::size_t, std::string>{*command.index}
                                     : batch::target_of(command.move, record);
    if (!index)
        effects.problems.push_back(index.error());
    else if (*index >= record.plan.stages.size())
        effects.problems.push_back(fmt::format("The plan of '{}' has {} stages; there is no number {}.",
                                               record.plan.name, record.plan.stages.size(), *index + 1));
    else if (command.at < record.stages.back().at)
        effects.problems.push_back("A stage cannot begin before the one it follows.");
    if (!effects.problems.empty() ||
        !passes(batch::check_stage(record.plan, *index, around()), command.consent, effects))
        return;
    enter_index(*index, std::min(command.at, now), command.why);
    effects.answers.push_back(
        fmt::format("{}: {} has begun.", spec_.name, base::spoken(batch_->stage().kind)));
    record_changed(effects);
}

void Vessel::undo(const UndoStep&, Timestamp now, Effects& effects) {
    if (!batch_) return reopen(effects);
    if (batch_->record().stages.size() < 2) {
        effects.problems.push_back(
            fmt::format("'{}' has only begun: there is no step to undo. End it, if it should not be.",
                        batch_->record().plan.name));
        return;
    }
    const std::string left = base::spoken(batch_->stage().kind);
    batch_->leave(now);
    effects.answers.push_back(fmt::format("{}: {} is undone; {} stands again.", spec_.name, left,
                                          base::spoken(batch_->stage().kind)));
    record_changed(effects);
}

/// The readings that came meanwhile are the batch's, too: belief begins anew with all of them.
void Vessel::reopen(Effects& effects) {
    if (!ended_) {
        effects.problems.push_back(fmt::format("There is no ended batch in {} to undo.", spec_.name));
        return;
    }
    EndedBatch before = *std::exchange(ended_, std::nullopt);
    before.record.ended.reset();
    before.record.ended_why.clear();
    batch_.emplace(std::move(before.record), spec_, present_.ambient(), before.clock);
    short_run_.set_volume(batch_->record().plan.volume_l);
    effects.recalls.push_back({spec_.id, batch_->record().started});
    effects.answers.push_back(
        fmt::format("{} has not ended: it stands in {} again.", batch_->record().plan.name, spec_.name));
    record_changed(effects);
}

bool Vessel::end(const EndBatch& command, std::optional<Taught> taught, Timestamp now, Effects& effects) {
    if (!has_batch(effects)) return false;
    if (command.at < batch_->record().stages.back().at) {
        effects.problems.push_back("A batch cannot end before its last stage began.");
        return false;
    }
    given_off_.clear();
    if (auto uptake = batch_->learned_uptake()) uptake_ = uptake;
    const batch::StageClock clock = batch_->clock();
    batch_->close(std::min(command.at, now), command.why);
    effects.batches.push_back(batch_->record());
    effects.answers.push_back(fmt::format("{} has ended.", batch_->record().plan.name));
    ended_ = EndedBatch{batch_->record(), clock};
    taught_ = std::move(taught);
    batch_.reset();
    present_.clear_batch();
    short_run_.set_volume(std::nullopt);
    refresh_short_run();
    return true;
}

void Vessel::measure(const Measure& command, Timestamp now, Effects& effects) {
    if (!has_batch(effects)) return;
    const batch::HandMeasurement& m = command.measurement;
    if (auto objection = batch::objection_to(m, batch_->record(), now)) {
        effects.problems.push_back(std::move(*objection));
        return;
    }
    batch_->measure(m);
    effects.answers.push_back(fmt::format("Noted: {} {}, taken {}.", base::name(m.quantity),
                                          display_.text(m.quantity, m.value), display_.local(m.at)));
    record_changed(effects);
}

void Vessel::undo(const UndoMeasurement& command, Effects& effects) {
    if (!has_batch(effects)) return;
    const auto taken = batch_->undo_measurement(command.measured_at);
    if (!taken) {
        effects.problems.push_back("There is no such measurement to withdraw.");
        return;
    }
    effects.answers.push_back(fmt::format("Taken out: {} {}, taken {}.", base::name(taken->quantity),
                                          display_.text(taken->quantity, taken->value),
                                          display_.local(taken->at)));
    record_changed(effects);
}

void Vessel::correct(const CorrectBatch& command, const LearnedCurves& learned, Timestamp now,
                     Effects& effects) {
    if (!has_batch(effects)) return;
    auto corrected = batch::corrected(batch_->record(), command, spec_, now);
    if (!corrected) {
        effects.problems.push_back(corrected.error());
        return;
    }
    batch::Record record = std::move(corrected).value();
    const std::size_t first = record.stages.back().index;
    if (!passes(batch::brought_by(batch::check_plan(batch_->record().plan, around(), first),
                                  batch::check_plan(record.plan, around(), first)),
                command.consent, effects))
        return;
    if (command.culture_name) record.prior = prior_for(record.plan, learned);
    const bool begins_earlier = record.started < batch_->record().started;
    batch_->correct(std::move(record), present_.ambient());
    short_run_.set_volume(batch_->record().plan.volume_l);
    if (begins_earlier) effects.recalls.push_back({spec_.id, batch_->record().started});
    effects.answers.push_back(fmt::format("Corrected: {}.", batch::summary(command)));
    record_changed(effects);
    estimate(now, effects);
}

void Vessel::forget_learned(Timestamp now, Effects& effects) {
    short_run_.set_learned_heat({});
    uptake_.reset();
    effects.answers.push_back(fmt::format("What was learnt of {} is forgotten.", spec_.name));
    evaluate(now, effects);
    if (!batch_ || !batch_->record().uptake) return;
    batch::Record record = batch_->record();
    record.uptake.reset();
    batch_->correct(std::move(record), present_.ambient());
    record_changed(effects);
    estimate(now, effects);
}

// ---- time

void Vessel::tick(Timestamp now, Effects& effects) {
    present_.set_time(now);
    enter_what_is_due(now, effects);
    run_stage_clock(now, effects);
    note_purge(now, effects);
    evaluate(now, effects);
}

void Vessel::run_stage_clock(Timestamp now, Effects& effects) {
    if (!batch_ || !present_.situation().time_is_known) return;
    const auto& facts = batch_->record().facts;
    const batch::StageEvidence evidence{
        .now = now,
        .beer_c = present_.fresh(Quantity::beer_temperature, batch_->record().stages.back().at),
        .finished = holds(facts, estimation::FactKind::fermentation_finished),
        .carbonated = holds(facts, estimation::FactKind::carbonated)};
    const bool has_ended = batch_->run_clock(evidence);
    if (has_ended) tell_end(now, effects);
    const bool has_reminded = remind(now, effects);
    if (has_ended || has_reminded) record_changed(effects);
}

void Vessel::tell_end(Timestamp now, Effects& effects) {
    const batch::Record& record = batch_->record();
    const std::size_t index = record.stages.back().index;
    const auto& stages = record.plan.stages;
    if (stages.at(index).end.when == batch::StageEnd::When::temperature_reached) short_run_.learn_heat();
    alarms_.tell(
        annunciation::stage_end_notice(
            {.vessel = spec_.id,
             .vessel_name = spec_.name,
             .batch_name = record.plan.name,
             .stage = stages.at(index).kind,
             .index = index,
             .next = index + 1 < stages.size() ? std::optional{stages[index + 1].kind} : std::nullopt,
             .why = end_text(stages.at(index).end, display_),
             .at = now},
            {site_, display_}),
        effects);
}

/// Before the end of a stage on brew day, and for what goes into the boil. True: the record says so.
bool Vessel::remind(Timestamp now, Effects& effects) {
    const auto call = [&](const char* rule, const std::string& headline, const std::string& text) {
        const batch::Record& record = batch_->record();
        alarms_.tell(annunciation::stage_call_notice({.vessel = spec_.id,
                                                      .vessel_name = spec_.name,
                                                      .batch_name = record.plan.name,
                                                      .rule = rule,
                                                      .index = record.stages.back().index,
                                                      .headline = headline,
                                                      .text = text,
                                                      .at = now},
                                                     {site_, display_}),
                     effects);
    };
    const auto additions = batch_->take_additions();
    for (const batch::Addition& addition : additions)
        call("addition", addition.what,
             fmt::format("Add now: {}, {} before the end. Slowly: it foams up, and boiling wort scalds.",
                         addition.what, display::duration_text(addition.before_end)));
    const auto& estimates = present_.situation().estimates;
    const auto ready = estimates.find(Quantity::ready_time);
    const auto expected =
        ready == estimates.end() ? std::nullopt : std::optional{base::from_unix_seconds(ready->second.value)};
    const bool is_soon = batch_->take_soon(now, expected);
    if (const auto left = is_soon ? view(now).countdown : std::nullopt)
        call("stage_soon", left->text, brew_day_words(*left, batch_->stage()));
    return is_soon || !additions.empty();
}

/// What the gauge shows of a purge is noted as if a person had told it: it stands in the record, and can be
/// withdrawn.
void Vessel::note_purge(Timestamp now, Effects& effects) {
    const auto purge = short_run_.take_purge(now);
    if (!purge || !batch_ || purge->at < batch_->record().started) return;
    batch_->measure(
        {Quantity::purge_cycles, static_cast<double>(purge->cycles), purge->at, "seen on the gauge"});
    record_changed(effects);
}

/// Once a batch, and only where grain is due.
void Vessel::note_dough_in(Effects& effects) {
    using base::StageKind;
    if (!batch_ || !present_.situation().time_is_known) return;
    const StageKind stage = batch_->stage().kind;
    if ((stage != StageKind::strike && stage != StageKind::mash) ||
        holds(batch_->record().facts, estimation::FactKind::doughed_in))
        return;
    const auto seen = short_run_.dough_in();
    if (!seen || seen->at < batch_->record().started) return;
    const auto text = [&](double celsius) { return display_.text(Quantity::beer_temperature, celsius); };
    estimation::Fact fact;
    fact.kind = estimation::FactKind::doughed_in;
    fact.at = seen->at;
    fact.evidence =
        fmt::format("The liquor fell from {} to {} within minutes", text(seen->liquor_c), text(seen->mash_c));
    batch_->note(fact);
    effects.facts.push_back({spec_.id, batch_->record().id, fact});
    record_changed(effects);
}

void Vessel::refresh_short_run() {
    present_.set_relief(short_run_.relief());
    const batch::StagePlan* const stage = batch_ ? &batch_->stage() : nullptr;
    refresh_closing();
    short_run_.refresh(present_.situation(), stage, present_.estimates());
    present_.set_pressure_trend_known(short_run_.knows_pressure_trend());
    present_.set_movement(short_run_.movement(present_.situation(), stage));
    present_.set_co2_given_off(given_off_l(given_off_, present_.situation()));
    present_.set_tightness(stage && stage->kind == base::StageKind::tightness
                               ? estimation::trend::tightness(tightness_, !present_.has_barometer())
                               : std::nullopt);
}

/// The grid is too slow for who has just shut the valve.
void Vessel::refresh_closing() {
    if (!batch_ || batch_->is_behind(present_.situation().at)) return;
    const auto rise = short_run_.rise_since_shut(present_.situation());
    const base::Estimates told = rise ? batch_->closing_given(*rise) : batch_->latest().estimates;
    for (const Quantity q : {Quantity::closed_pressure, Quantity::warm_pressure, Quantity::closing_gravity})
        if (const auto found = told.find(q); found != told.end()) present_.estimates()[q] = found->second;
}

void Vessel::evaluate(Timestamp now, Effects& effects) {
    if (now == Timestamp{}) return;
    present_.set_time(now);
    refresh_short_run();
    alarms_.evaluate(present_.situation(), effects);
}

void Vessel::estimate(Timestamp now, Effects& effects) {
    present_.set_time(now);
    std::vector<estimation::EstimateSet> grid;
    if (batch_) {
        grid = batch_->advance(now, steps_at_once_);
        if (!batch_->is_behind(now)) present_.set_estimates(batch_->latest().at, batch_->latest().estimates);
    } else {
        present_.set_estimates(now, {});
        grid.push_back({now, {}});
    }
    note(given_off_, present_.situation());
    refresh_short_run();
    // What follows each reading belongs to this moment only, not to grid points told again.
    if (!grid.empty() && !is_behind(now)) grid.back().estimates = present_.situation().estimates;
    for (const auto& point : grid) tell(point.at, point.estimates, effects);
    if (batch_) tell_facts(now, effects);
    evaluate(now, effects);
}

void Vessel::tell_estimates(Timestamp now, Effects& effects) const {
    if (!is_behind(now)) tell(now, present_.situation().estimates, effects);
}

void Vessel::tell(Timestamp at, const base::Estimates& estimates, Effects& effects) const {
    for (const auto& [quantity, value] : estimates)
        effects.estimates.push_back({spec_.id, quantity, at, value});
}

void Vessel::tell_facts(Timestamp now, Effects& effects) {
    const auto changes = batch_->take_facts(now);
    for (const estimation::Fact& fact : changes)
        effects.facts.push_back({spec_.id, batch_->record().id, fact});
    if (!changes.empty()) record_changed(effects);
}

void Vessel::skip_to(Timestamp now) {
    present_.set_time(now);
    alarms_.listen_from(now);
}

void Vessel::set_clock(const base::ClockSet& set, Effects& effects) {
    present_.set_clock(set);
    present_.set_time_is_known(true);
    if (unproven_pressure_) set.rename(unproven_pressure_->at);
    short_run_.shift(set.by());
    for (auto& one : given_off_) set.rename(one.at);
    for (auto* at : {&tightness_.stage_since, &tightness_.first, &tightness_.last_counted, &tightness_.last})
        set.rename(*at);
    if (ended_ && set.corrected(*ended_->record.ended) != *ended_->record.ended) ended_.reset();
    const std::optional<Timestamp> stage_before = present_.situation().stage_since;
    if (batch_) {
        batch_->set_clock(set);
        record_changed(effects);
    }
    alarms_.set_clock(set, {stage_before, present_.situation().stage_since});
    present_.set_time(set.to);
}

// ---- memory

VesselState Vessel::state(Timestamp now) const {
    VesselState state;
    state.vessel = spec_.id;
    state.at = now;
    if (batch_) {
        state.batch = batch_->record();
        state.stage_clock = batch_->clock();
    }
    state.ended = ended_;
    state.taught = taught_;
    state.last_batch = last_batch_;
    state.unproven_pressure = unproven_pressure_;
    state.pressure = short_run_.memory();
    state.tightness = tightness_;
    state.heat = short_run_.learned_heat();
    state.co2_held = given_off_;
    state.uptake = uptake_;
    present_.save(state);
    alarms_.save(state);
    return state;
}

void Vessel::restore(const VesselState& state) {
    present_.restore(state);
    present_.set_time(state.at);
    alarms_.restore(state);
    unproven_pressure_ = state.unproven_pressure;
    short_run_.restore(state.pressure);
    tightness_ = state.tightness;
    short_run_.set_learned_heat(state.heat);
    given_off_ = state.co2_held;
    uptake_ = state.uptake;
    ended_ = state.ended;
    taught_ = state.taught;
    last_batch_ = state.last_batch;
    if (!state.batch) return;
    batch_.emplace(*state.batch, spec_, present_.ambient(), state.stage_clock);
    short_run_.set_volume(state.batch->plan.volume_l);
    show_batch();
}

Timestamp Vessel::readings_needed_from(Timestamp now) const {
    const Timestamp recent = now - trends_look_back;
    return batch_ ? std::min(recent, batch_->record().started) : recent;
}

void Vessel::begin_recall() {
    if (!batch_) return;
    RunningBatch anew{batch_->record(), spec_, present_.ambient(), batch_->clock()};
    batch_ = std::move(anew);
}

void Vessel::end_recall(Timestamp now) {
    present_.set_time(now);
    believe_latest();
    refresh_short_run();
}

void Vessel::believe_latest() {
    if (!batch_) return;
    // By the day: what was believed on the way is not asked for, and a year of it takes more room than all
    // the rest.
    constexpr std::size_t a_day = std::chrono::hours{24} / estimation::BatchEstimator::grid;
    while (batch_->is_behind(present_.situation().at)) (void)batch_->advance(present_.situation().at, a_day);
    present_.set_estimates(batch_->latest().at, batch_->latest().estimates);
}

// ---- what others see

std::optional<Teaching> Vessel::teaching() const {
    return batch_ ? batch_->teaching() : std::nullopt;
}

std::optional<estimation::Foresight> Vessel::foresight(Timestamp now) const {
    if (!batch_ || batch_->is_behind(now)) return std::nullopt;
    return batch_->foresight();
}

BatchView Vessel::batch_view() const {
    const batch::Record& record = batch_->record();
    BatchView view;
    view.id = record.id;
    view.name = record.plan.name;
    view.plan = record.plan;
    view.started = record.started;
    view.stage_index = record.stages.back().index;
    view.stage_since = record.stages.back().at;
    view.facts = record.facts;
    view.entered = record.stages;
    view.measurements = record.measurements;
    view.findings = batch::check_plan(record.plan, around(), view.stage_index);
    if (view.stage_index + 1 < view.plan.stages.size())
        view.next_stage = view.plan.stages[view.stage_index + 1].kind;
    return view;
}

VesselView Vessel::view(Timestamp now) const {
    VesselView view;
    view.spec = spec_;
    view.at = now;
    view.ambient = present_.ambient();
    view.latest = present_.situation().latest;
    view.sensors = present_.situation().sensors;
    view.estimates = present_.situation().estimates;
    view.estimates_at = present_.estimates_at();
    for (const alarms::Occurrence& occurrence : alarms_.standing())
        view.alarms.push_back(
            {occurrence.last, occurrence.shelved_until, occurrence.present.text, occurrence.present.value});
    if (batch_) view.batch = batch_view();
    view.learned = {short_run_.learned_heat(), short_run_.relief(), uptake_};
    view.tightness = alarms::tightness_finding(present_.situation());
    if (batch_)
        view.countdown =
            countdown_of(view, batch_->clock(), short_run_.levels_off_c(batch_->stage()), display_);
    view.sentence = sentence(view, display_);
    return view;
}

}  // namespace gyled::cellar
