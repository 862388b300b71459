#include "daemon/cellar/running_batch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <map>
#include <utility>

#include "daemon/cellar/fact_ledger.hpp"

namespace gyled::cellar {
namespace {

using batch::StagePlan;
using estimation::StageEntry;

StageEntry entry_of(const StagePlan& stage, base::Timestamp at) {
    return {at, stage.kind, stage.head_space, stage.head_pressure_kpa, stage.temperature_c};
}

/// Where the plan lets the beer go on the cold side: the low end of its coldest band.
std::optional<double> coldest_planned_c(const batch::Plan& plan) {
    std::optional<double> coldest;
    for (const StagePlan& stage : plan.stages)
        if (base::is_cold_side(stage.kind) && stage.temperature_c)
            coldest = std::min(coldest.value_or(stage.temperature_c->low), stage.temperature_c->low);
    return coldest;
}

/// Lower-case letters and digits; anything else becomes one hyphen.
std::string plain(std::string_view name) {
    std::string out;
    for (const char c : name) {
        if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'))
            out += c;
        else if (c >= 'A' && c <= 'Z')
            out += static_cast<char>(c - 'A' + 'a');
        else if (!out.empty() && out.back() != '-')
            out += '-';
    }
    while (!out.empty() && out.back() == '-') out.pop_back();
    return out.empty() ? "batch" : out;
}

}  // namespace

std::string batch_id(const batch::Plan& plan, base::Timestamp registered, const std::string& taken) {
    const std::string time = base::to_rfc3339(registered);  // 2026-03-01T18:00:00Z
    const std::string id =
        fmt::format("{}-{}-{}-{}{}{}", plain(plan.vessel), plain(plan.name), time.substr(0, 10),
                    time.substr(11, 2), time.substr(14, 2), time.substr(17, 2));
    return id == taken ? id + "-again" : id;
}

RunningBatch::RunningBatch(batch::Record record, const batch::VesselSpec& vessel, base::Pressure ambient,
                           batch::StageClock clock)
    : vessel_{vessel},
      record_{std::move(record)},
      clock_{clock},
      estimator_{context(ambient), record_.started} {
    estimator_.set_stages(stage_entries());
    hand_over_measurements();
}

const StagePlan& RunningBatch::stage() const {
    return record_.plan.stages.at(record_.stages.back().index);
}

estimation::BatchContext RunningBatch::context(base::Pressure ambient) const {
    const batch::Plan& plan = record_.plan;
    estimation::BatchContext context;
    context.total_volume_l = vessel_.total_volume_l;
    context.beer_volume_l = plan.volume_l;
    context.warmest_c = vessel_.warmest_c;
    context.coldest_c = coldest_planned_c(plan).value_or(context.coldest_c);
    context.relief_kpa = vessel_.relief_pressure_kpa;
    context.lowest_rated_kpa = vessel_.lowest_limit_kpa();
    context.ambient = ambient;
    context.gravity.culture = plan.culture;
    context.gravity.original_gravity = plan.original_gravity;
    context.gravity.expected_final_gravity = plan.expected_final_gravity;
    context.gravity.learned = record_.prior;
    context.uptake = record_.uptake;
    context.target_co2_volumes = plan.target_co2_volumes;
    for (const StagePlan& stage : plan.stages)
        if (stage.start) context.planned.push_back(entry_of(stage, *stage.start));
    return context;
}

std::vector<StageEntry> RunningBatch::stage_entries() const {
    std::vector<StageEntry> entries;
    for (const auto& entered : record_.stages)
        entries.push_back(entry_of(record_.plan.stages.at(entered.index), entered.at));
    return entries;
}

void RunningBatch::hand_over_measurements() {
    std::map<base::Quantity, std::vector<estimation::HandReading>> readings;
    for (const base::Quantity q :
         {base::Quantity::gravity, base::Quantity::co2_volumes, base::Quantity::head_pressure,
          base::Quantity::purge_cycles, base::Quantity::forced_final_gravity})
        readings[q];
    for (const auto& m : record_.measurements) readings[m.quantity].push_back({m.at, m.value});
    for (auto& [quantity, taken] : readings) estimator_.set_measurements(quantity, std::move(taken));
}

std::optional<std::size_t> RunningBatch::due(base::Timestamp now) const {
    const std::size_t next = record_.stages.back().index + 1;
    if (next >= record_.plan.stages.size()) return std::nullopt;
    const auto start = record_.plan.stages[next].start;
    return start && *start <= now ? std::optional{next} : std::nullopt;
}

void RunningBatch::enter(std::size_t index, base::Timestamp at, const std::string& why) {
    if (index <= record_.stages.back().index) forget_starts(index + 1, at);
    record_.stages.back().left_at = std::exchange(clock_, {});
    record_.stages.push_back({.index = index, .at = at, .why = why, .end_reached = std::nullopt});
    estimator_.enter(entry_of(stage(), at));
}

/// A planned start that has passed does not call forward whoever has gone back.
void RunningBatch::forget_starts(std::size_t from, base::Timestamp until) {
    auto& stages = record_.plan.stages;
    for (std::size_t i = from; i < stages.size(); ++i)
        if (stages[i].start && *stages[i].start <= until) stages[i].start.reset();
}

void RunningBatch::leave(base::Timestamp now) {
    forget_starts(record_.stages.back().index, now);
    record_.stages.pop_back();
    clock_ = std::exchange(record_.stages.back().left_at, std::nullopt).value_or(batch::StageClock{});
    estimator_.set_stages(stage_entries());
}

bool RunningBatch::run_clock(const batch::StageEvidence& evidence) {
    auto& entered = record_.stages.back();
    const auto standing = entered.end_reached ? batch::Standing::end_reached : batch::Standing::under_way;
    clock_ = batch::advanced(clock_, stage(), evidence);
    if (!batch::end_met(clock_, stage(), evidence)) return false;
    if (batch::step(standing, batch::StageEvent::end_met).effect != batch::StageEffect::tell_end)
        return false;
    entered.end_reached = evidence.now;
    return true;
}

bool RunningBatch::take_soon(base::Timestamp now, std::optional<base::Timestamp> expected) {
    auto& entered = record_.stages.back();
    if (!batch::is_soon(stage(), entered, clock_, now, expected)) return false;
    entered.soon_told = now;
    return true;
}

std::vector<batch::Addition> RunningBatch::take_additions() {
    auto& entered = record_.stages.back();
    const auto due = batch::due_additions(stage(), entered, clock_);
    entered.additions_told += due.size();
    return {due.begin(), due.end()};
}

void RunningBatch::measure(const batch::HandMeasurement& measurement) {
    record_.measurements.push_back(measurement);
    hand_over_measurements();
}

std::optional<batch::HandMeasurement> RunningBatch::undo_measurement(
    std::optional<base::Timestamp> taken_at) {
    auto& all = record_.measurements;
    const auto found =
        std::find_if(all.rbegin(), all.rend(), [&](const auto& m) { return !taken_at || m.at == *taken_at; });
    if (found == all.rend()) return std::nullopt;
    const batch::HandMeasurement taken = *found;
    all.erase(std::next(found).base());
    hand_over_measurements();
    return taken;
}

void RunningBatch::correct(batch::Record record, base::Pressure ambient) {
    record_ = std::move(record);
    estimator_.correct(context(ambient));
    estimator_.set_started(record_.started);
    estimator_.set_stages(stage_entries());
}

/// Stages that a wall ahead of the time had let begin by their planned start have not begun.
void RunningBatch::leave_what_is_not_due(base::Timestamp now) {
    auto& stages = record_.stages;
    while (stages.size() > 1 && stages.back().why == as_planned &&
           record_.plan.stages.at(stages.back().index).start.value_or(now) > now) {
        stages.pop_back();
        stages.back().left_at.reset();
    }
}

void RunningBatch::set_clock(const base::ClockSet& set) {
    set.rename(clock_.in_band_seen);
    leave_what_is_not_due(set.to);
    const base::Timestamp started = std::exchange(record_.started, set.corrected(record_.started));
    base::Timestamp earliest = record_.started;
    for (auto& stage : record_.stages) {
        stage.at = earliest = std::max(earliest, set.corrected(stage.at));
        for (auto* told : {&stage.end_reached, &stage.soon_told})
            if (*told) *told = set.corrected(**told);
    }
    for (auto& measurement : record_.measurements) measurement.at = set.corrected(measurement.at);
    for (auto& fact : record_.facts) fact.at = set.corrected(fact.at);
    if (set.to < set.from)
        estimator_.set_back(set.to);
    else
        estimator_.set_forward(set.to);
    if (record_.started != started) estimator_.set_started(record_.started);
    estimator_.set_stages(stage_entries());
    hand_over_measurements();
}

void RunningBatch::observe(base::Quantity quantity, base::Timestamp at, double gauge_value) {
    estimator_.observe(quantity, at, gauge_value);
}

std::vector<estimation::Fact> RunningBatch::take_facts(base::Timestamp now) {
    auto believed = estimator_.facts();
    std::ranges::copy_if(record_.facts, std::back_inserter(believed),
                         [](const auto& fact) { return fact.kind == estimation::FactKind::doughed_in; });
    return reconcile(record_.facts, believed, now);
}

std::optional<Teaching> RunningBatch::teaching() const {
    if (record_.plan.culture_name.empty()) return std::nullopt;
    auto curve = estimator_.learned();
    if (!curve) return std::nullopt;
    return Teaching{record_.plan.culture_name, record_.prior, std::move(*curve)};
}

}  // namespace gyled::cellar
