#include "daemon/cli/replay.hpp"

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <chrono>
#include <cmath>
#include <ostream>
#include <stdexcept>

#include "daemon/cli/log_source.hpp"
#include "daemon/cli/replay_lines.hpp"
#include "daemon/cli/replay_summary.hpp"
#include "daemon/cli/verb.hpp"
#include "daemon/config/core_spec.hpp"
#include "daemon/pipeline/pipeline.hpp"

namespace gyled::cli {
namespace {

/// Of event time after the last line: estimates wait for late readings no longer than that.
constexpr auto late_readings_settle = std::chrono::minutes{1};

using Rejected = std::map<std::string, std::uint64_t>;

/// Hears what the pipeline tells and prints it, line by line or gathered.
class Narrator final : public pipeline::Listener {
public:
    Narrator(const config::Config& config, const ReplayOptions& options, std::ostream& out)
        : json_{options.json}, out_{out}, lines_{out, options.every}, summary_{config.site.display} {}

    void listen_to(const cellar::Cellar& core) { core_ = &core; }

    void on_effects(const cellar::Effects& effects) override {
        if (json_)
            lines_.print(effects, *core_);
        else
            summary_.take(effects);
    }

    void close(std::uint64_t readings, const Rejected& rejected, double wall_seconds) {
        if (!json_) return summary_.print(out_, *core_, readings, rejected, wall_seconds);
        ReplayLines::Json last{{"kind", "summary"}, {"readings", readings}};
        last["rejected"] = ReplayLines::Json::object();
        for (const auto& [reason, count] : rejected) last["rejected"][reason] = count;
        last["wall_seconds"] = std::round(wall_seconds * 1000) / 1000;
        lines_.print(last);
    }

private:
    bool json_;
    std::ostream& out_;
    ReplayLines lines_;
    ReplaySummary summary_;
    const cellar::Cellar* core_ = nullptr;
};

/// The core's time begins with the batch or the log, whichever is earlier. The problems, none when it
/// started. It has happened: what the vessel does not bear of it is told, and refuses nothing.
pipeline::Answer start(const batch::Plan& plan, const LogSource& log, pipeline::Pipeline& pipeline) {
    const auto first = log.first_reading();
    if (!first) return {};
    const base::Timestamp planned = plan.stages.front().start.value_or(*first);
    return pipeline.carry_out(cellar::StartBatch{plan, *first, {}, cellar::Consent::past},
                              std::min(planned, *first));
}

/// Where in the file, so that the person can look.
void name_lines(std::ostream& talk, const Misplaced& lines) {
    for (const Misplaced::Line& line : lines.first())
        fmt::print(talk, "gyle: line {}: {} is more than 400 days from the lines around it: left out\n",
                   line.number, base::to_rfc3339(line.at));
    if (lines.count() > lines.first().size())
        fmt::print(talk, "gyle: and {} more such lines\n", lines.count() - lines.first().size());
}

Rejected rejected(const pipeline::Pipeline& pipeline, const LogSource& log) {
    Rejected all = pipeline.intake().rejected();
    if (log.not_lines() > 0) all["not_a_log_line"] += log.not_lines();
    if (log.misplaced().count() > 0) all["time_out_of_place"] += log.misplaced().count();
    return all;
}

}  // namespace

int replay(const config::Config& config, const batch::Plan* plan, const ReplayOptions& options,
           std::ostream& out, std::ostream& talk) try {
    const auto began = std::chrono::steady_clock::now();
    LogSource log{options.log, sensors::Intake{config.sensors}};
    Narrator narrator{config, options, out};
    pipeline::NoStore no_store;
    pipeline::Parameters parameters;
    parameters.drive = pipeline::Drive::events;
    cellar::CellarSpec spec = config::core_spec(config);
    if (options.every % spec.estimates_every != base::Duration{0}) spec.also_told_every = options.every;
    pipeline::Pipeline pipeline{cellar::Cellar{std::move(spec)},
                                sensors::Intake{config.sensors},
                                log,
                                no_store,
                                narrator,
                                parameters};
    narrator.listen_to(pipeline.core());

    if (plan != nullptr) {
        const pipeline::Answer started = start(*plan, log, pipeline);
        for (const batch::Finding& finding : started.findings) fmt::print(talk, "gyle: {}\n", finding.text);
        for (const std::string& problem : started.problems) fmt::print(talk, "gyle: {}\n", problem);
        if (!started.problems.empty()) return wrong_usage;
    }
    while (pipeline.drain(pipeline.core().now())) {
    }
    if (!log.problem().empty()) throw std::runtime_error(log.problem());
    pipeline.stop(pipeline.core().now() + late_readings_settle);

    name_lines(talk, log.misplaced());
    const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - began;
    narrator.close(pipeline.intake().accepted(), rejected(pipeline, log), wall.count());
    return done;
} catch (const std::runtime_error& problem) {
    fmt::print(talk, "gyle: {}\n", problem.what());
    return failed;
}

}  // namespace gyled::cli
