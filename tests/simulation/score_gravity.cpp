/// Where the gravity is, where it ends and when.

#include <cmath>

#include "tests/simulation/looking.hpp"

namespace gyled::simulation {
namespace {

using namespace std::chrono_literals;
using base::Estimate;
using base::Quantity;
using virtual_vessel::Truth;

std::string_view phase_of(const Truth& truth, const Drop& drop) {
    if (truth.stage == base::StageKind::crash) return "chilled";
    const double done = drop.share(truth.sg);
    if (done < 0.05) return "lag";
    if (done < 0.60) return "active";
    return done < 0.95 ? "late" : "tail";
}

void look_at_intervals(const World& world, const Drop& drop, Score& score) {
    const auto quarter = share_done(world, drop, 0.25);
    for (const Belief& belief : world.beliefs) {
        const Truth& truth = world.truth_at(belief.at);
        if (!is_time_to_look(belief.at) || !base::is_cold_side(truth.stage)) continue;
        const std::string_view phase = phase_of(truth, drop);
        if (const auto* now = find(belief, Quantity::gravity_now))
            score.look("gravity_now", phase, *now, truth.sg);
        const bool in_doubt =
            quarter && belief.at >= *quarter && (!drop.within_7 || belief.at < *drop.within_7 + 48h);
        if (!in_doubt) continue;
        if (const auto* end = find(belief, Quantity::final_gravity))
            score.look("final_gravity", phase, *end, drop.terminal_sg);
        if (const auto* when = find(belief, Quantity::finish_time); when && drop.within_5)
            score.look("finish_time", phase, *when, base::unix_seconds(*drop.within_5));
    }
}

void measure_now(const World& world, Score& score) {
    std::vector<double> errors;
    for (const Belief& belief : world.beliefs)
        if (const auto* now = find(belief, Quantity::gravity_now))
            errors.push_back(std::abs(now->value - world.truth_at(belief.at).sg));
    if (!errors.empty()) score.figures["gravity_now error"] = median(std::move(errors));
}

/// The simple method: the last reading, as a dashboard without a model shows it.
std::optional<double> last_reading(const World& world, Timestamp at) {
    for (auto r = world.gravity_readings.rbegin(); r != world.gravity_readings.rend(); ++r)
        if (r->taken <= at) return r->value;
    return std::nullopt;
}

void measure_end(const World& world, const Drop& drop, Score& score) {
    for (const auto& [name, share] :
         {std::pair{"final gravity error at 50 %", 0.5}, {"final gravity error at 75 %", 0.75}}) {
        const auto at = share_done(world, drop, share);
        if (!at || belief_at(world, *at) == nullptr) continue;
        if (const auto* end = believed(world, at, Quantity::final_gravity))
            score.figures[name] = std::abs(end->value - drop.terminal_sg);
        if (const auto last = last_reading(world, *at))
            score.figures[std::string{name} + ", last reading"] = std::abs(*last - drop.terminal_sg);
    }
}

/// The simple method: a straight line through two days of readings, carried on until an expected end is met.
std::optional<double> straight_line_sg_per_day(const World& world, Timestamp now) {
    double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (const auto& reading : world.gravity_readings) {
        if (reading.taken > now || now - reading.taken > 48h) continue;
        const double x = base::hours_between(now, reading.taken) / 24;
        n += 1, sx += x, sy += reading.value, sxx += x * x, sxy += x * reading.value;
    }
    if (n < 10) return std::nullopt;
    return (sxy - sx * sy / n) / (sxx - sx * sx / n);
}

void measure_finish(const World& world, const Drop& drop, Score& score) {
    const auto at = share_done(world, drop, 0.6);
    if (!at || !drop.within_5) return;
    const double truth_s = base::unix_seconds(*drop.within_5);
    score.figures["finish asked at 60 %"] = 1;
    if (const auto* when = believed(world, at, Quantity::finish_time)) {
        score.figures["finish told at 60 %"] = 1;
        score.figures["finish error at 60 %, h"] = std::abs(when->value - truth_s) / 3600;
        score.figures["finish late at 60 %, h"] = (when->value - truth_s) / 3600;
        score.figures["finish truly left at 60 %, h"] = base::hours_between(*at, *drop.within_5);
    }
    const auto slope = straight_line_sg_per_day(world, *at);
    if (!slope || *slope >= 0) return;
    const double days = (drop.terminal_sg + 0.0005 - world.truth_at(*at).sg) / *slope;
    score.figures["finish error at 60 %, h, straight line"] =
        std::abs(base::unix_seconds(*at) + days * 86400 - truth_s) / 3600;
}

}  // namespace

void score_gravity(const World& world, Score& score) {
    const auto drop = drop_of(world);
    if (!drop) return;
    look_at_intervals(world, *drop, score);
    measure_now(world, score);
    measure_end(world, *drop, score);
    measure_finish(world, *drop, score);
}

}  // namespace gyled::simulation
