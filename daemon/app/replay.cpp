#include "daemon/app/replay.hpp"

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <chrono>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <ostream>
#include <stdexcept>

#include "daemon/app/log_lines.hpp"
#include "daemon/app/replay_summary.hpp"
#include "daemon/app/translate.hpp"
#include "daemon/cellar/cellar.hpp"
#include "sensors/intake.hpp"

namespace gyled::app {
namespace {

using base::Timestamp;
using Json = nlohmann::ordered_json;

Json bound(base::Quantity q, double value) {
    if (!std::isfinite(value)) return nullptr;
    if (base::is_moment(q)) return base::to_rfc3339(base::from_unix_seconds(std::round(value)));
    return value;
}

/// Prints what the core tells as lines of JSON, each moment's beliefs once: what was believed then, not
/// later.
class JsonLines {
public:
    JsonLines(std::ostream& out, base::Duration every) : out_{out}, every_{every} {}

    void tell(const cellar::Effects& effects, const cellar::Cellar& core) {
        for (const auto& t : effects.transitions) {
            Json line{{"kind", "alarm"},
                      {"time", base::to_rfc3339(t.at)},
                      {"vessel", t.vessel},
                      {"rule", t.rule}};
            line["state"] = alarms::name(t.state) == "normal" ? "cleared" : alarms::name(t.state);
            line["priority"] = alarms::name(t.priority);
            line["text"] = t.text;
            if (!t.subject.empty()) line["subject"] = t.subject;
            print(line);
        }
        for (const auto& f : effects.facts) {
            Json line{{"kind", "fact"}, {"vessel", f.vessel}, {"fact", estimation::name(f.fact.kind)}};
            line["time"] = base::to_rfc3339(f.fact.revoked ? f.fact.revoked_at : f.fact.at);
            line["revoked"] = f.fact.revoked;
            line["evidence"] = f.fact.revoked ? f.fact.revoked_because : f.fact.evidence;
            print(line);
        }
        std::map<std::pair<Timestamp, std::string>, Json> moments;
        for (const auto& p : effects.estimates) {
            if (p.at.time_since_epoch() % every_ != base::Duration{0}) continue;
            if (const auto told = told_.find(p.vessel); told != told_.end() && p.at <= told->second) continue;
            moments[{p.at, p.vessel}][std::string{base::name(p.quantity)}] = {
                {"value", bound(p.quantity, p.estimate.value)},
                {"low", bound(p.quantity, p.estimate.low)},
                {"high", bound(p.quantity, p.estimate.high)}};
        }
        for (auto& [key, estimates] : moments) {
            const auto& [at, vessel] = key;
            told_[vessel] = at;
            Json line{{"kind", "estimate"}, {"time", base::to_rfc3339(at)}, {"vessel", vessel}};
            const auto view = core.vessel(vessel);
            line["stage"] =
                view && view->batch
                    ? Json(base::name(view->batch->plan.stages.at(view->batch->stage_index).kind))
                    : Json(nullptr);
            line["estimates"] = std::move(estimates);
            print(line);
        }
    }

    void print(const Json& line) {
        out_ << line.dump(-1, ' ', false, Json::error_handler_t::replace) << '\n';
    }

private:
    std::ostream& out_;
    base::Duration every_;
    std::map<std::string, Timestamp> told_;
};

}  // namespace

int replay(const config::Config& config, const batch::Plan* plan, const ReplayOptions& options,
           std::ostream& out, std::ostream& talk) try {
    const auto began = std::chrono::steady_clock::now();
    LogLines lines{options.log};
    sensors::Intake intake{config.sensors};
    cellar::Cellar core{cellar_spec(config)};
    JsonLines json{out, options.every};
    ReplaySummary summary{config.site.display};
    const auto tell = [&](const cellar::Effects& effects) {
        if (options.json)
            json.tell(effects, core);
        else
            summary.take(effects);
    };

    std::uint64_t not_lines = 0;
    bool started = plan == nullptr;
    while (const auto line = lines.next()) {
        if (line->empty() || line->front() == '#') continue;  // '#': about the recording, for people
        const auto message = parse_log_line(*line);
        if (!message) {
            ++not_lines;
            continue;
        }
        for (const sensors::Reading& reading : intake.accept(*message).readings) {
            if (!started) {
                // The core's time begins with the batch or the log, whichever is earlier.
                const Timestamp first = plan->stages.front().start.value_or(reading.at);
                tell(core.advance_to(std::min(first, reading.at)));
                const auto effects = core.accept(cellar::StartBatch{*plan, reading.at, {}});
                for (const std::string& problem : effects.problems) fmt::print(talk, "gyle: {}\n", problem);
                if (!effects.problems.empty()) return 2;
                started = true;
            }
            if (reading.verdict == sensors::Verdict::accepted && reading.at > core.now())
                tell(core.advance_to(reading.at));
            tell(core.accept(reading));
        }
    }
    tell(core.advance_to(core.now() + std::chrono::minutes{1}));  // lets late readings settle

    auto rejected = intake.rejected();
    if (not_lines > 0) rejected["not_a_log_line"] += not_lines;
    const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - began;
    if (options.json) {
        Json last{{"kind", "summary"}, {"readings", intake.accepted()}, {"rejected", Json::object()}};
        for (const auto& [reason, count] : rejected) last["rejected"][reason] = count;
        last["wall_seconds"] = std::round(wall.count() * 1000) / 1000;
        json.print(last);
    } else {
        summary.print(out, core, intake.accepted(), rejected, wall.count());
    }
    return 0;
} catch (const std::runtime_error& problem) {
    fmt::print(talk, "gyle: {}\n", problem.what());
    return 1;
}

}  // namespace gyled::app
