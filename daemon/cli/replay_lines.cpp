#include "daemon/cli/replay_lines.hpp"

#include <cmath>
#include <ostream>
#include <utility>

namespace gyled::cli {
namespace {

using Json = ReplayLines::Json;

Json bound(base::Quantity q, double value) {
    if (!std::isfinite(value)) return nullptr;
    if (base::is_moment(q)) return base::to_rfc3339(base::from_unix_seconds(std::round(value)));
    return value;
}

Json estimate(base::Quantity q, const base::Estimate& estimate) {
    return {{"value", bound(q, estimate.value)},
            {"low", bound(q, estimate.low)},
            {"high", bound(q, estimate.high)}};
}

Json stage_of(const std::string& vessel, const cellar::Cellar& core) {
    const auto view = core.vessel(vessel);
    if (!view || !view->batch) return nullptr;
    return base::name(view->batch->plan.stages.at(view->batch->stage_index).kind);
}

}  // namespace

void ReplayLines::print(const cellar::Effects& effects, const cellar::Cellar& core) {
    for (const auto& transition : effects.transitions) print(transition);
    for (const auto& change : effects.facts) print(change);
    print(effects.estimates, core);
}

void ReplayLines::print(const alarms::Transition& t) {
    Json line{{"kind", "alarm"}, {"time", base::to_rfc3339(t.at)}, {"vessel", t.vessel}, {"rule", t.rule}};
    line["state"] = alarms::name(t.state);
    line["priority"] = alarms::name(t.priority);
    line["text"] = t.text;
    if (!t.subject.empty()) line["subject"] = t.subject;
    print(line);
}

void ReplayLines::print(const cellar::FactChange& change) {
    const estimation::Fact& fact = change.fact;
    Json line{{"kind", "fact"}, {"vessel", change.vessel}, {"fact", estimation::name(fact.kind)}};
    line["time"] = base::to_rfc3339(fact.revoked ? fact.revoked_at : fact.at);
    line["revoked"] = fact.revoked;
    line["evidence"] = fact.revoked ? fact.revoked_because : fact.evidence;
    print(line);
}

void ReplayLines::print(const std::vector<cellar::EstimatePoint>& estimates, const cellar::Cellar& core) {
    std::map<std::pair<base::Timestamp, std::string>, Json> moments;
    for (const auto& p : estimates) {
        if (p.at.time_since_epoch() % every_ != base::Duration{0}) continue;
        const auto until = printed_until_.find(p.vessel);
        if (until != printed_until_.end() && p.at <= until->second) continue;
        moments[{p.at, p.vessel}][std::string{base::name(p.quantity)}] = estimate(p.quantity, p.estimate);
    }
    for (auto& [key, beliefs] : moments) {
        const auto& [at, vessel] = key;
        printed_until_[vessel] = at;
        Json line{{"kind", "estimate"}, {"time", base::to_rfc3339(at)}, {"vessel", vessel}};
        line["stage"] = stage_of(vessel, core);
        line["estimates"] = std::move(beliefs);
        print(line);
    }
}

void ReplayLines::print(const Json& line) {
    out_ << line.dump(-1, ' ', false, Json::error_handler_t::replace) << '\n';
}

}  // namespace gyled::cli
