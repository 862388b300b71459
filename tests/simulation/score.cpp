#include "tests/simulation/score.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/brewing/solubility.hpp"

namespace gyled::simulation {
namespace {

using namespace std::chrono_literals;
using base::Estimate;
using base::Quantity;
using estimation::FactKind;
using virtual_vessel::Truth;

const Estimate* find(const Belief& belief, Quantity q) {
    const auto found = belief.estimates.find(q);
    return found == belief.estimates.end() ? nullptr : &found->second;
}

const Belief* belief_at(const World& world, Timestamp t) {
    const Belief* last = nullptr;
    for (const Belief& belief : world.beliefs)
        if (belief.at <= t) last = &belief;
    return last;
}

void look(Score& score, const std::string& quantity, const Estimate& estimate, double truth) {
    auto& [held, looked] = score.coverage[quantity];
    ++looked;
    if (estimate.low <= truth && truth <= estimate.high) ++held;
}

/// First moment at which this share of the drop to the terminal gravity is done.
std::optional<Timestamp> share_done(const World& world, double share) {
    const double terminal = world.truths.back().terminal_sg;
    const double start = world.truths.front().original_gravity;
    for (const Truth& truth : world.truths)
        if (truth.stage >= base::StageKind::ferment && start - truth.sg >= share * (start - terminal) &&
            start > terminal)
            return truth.time;
    return std::nullopt;
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

void score_gravity(const World& world, Score& score) {
    if (world.scenario.fermented_already) return;
    // A world that ends when the yeast goes in has nothing to foresee.
    if (world.truths.back().original_gravity - world.truths.back().terminal_sg < 0.010) return;
    const double terminal = world.truths.back().terminal_sg;
    const std::optional<Timestamp> quarter = share_done(world, 0.25);
    if (!quarter) return;

    std::optional<Timestamp> within_7, within_5;  // for good: scan from the end
    for (auto truth = world.truths.rbegin(); truth != world.truths.rend() && truth->sg - terminal <= 0.0007;
         ++truth) {
        within_7 = truth->time;
        if (truth->sg - terminal <= 0.0005) within_5 = truth->time;
    }
    for (const Belief& belief : world.beliefs) {
        const Truth& truth = world.truth_at(belief.at);
        if (belief.at.time_since_epoch() % 6h != 0min) continue;
        if (const auto* now = find(belief, Quantity::gravity_now)) {
            look(score, "gravity_now", *now, truth.sg);
        }
        const bool in_doubt = belief.at >= *quarter && (!within_7 || belief.at < *within_7 + 48h);
        if (!in_doubt) continue;
        if (const auto* end = find(belief, Quantity::final_gravity))
            look(score, "final_gravity", *end, terminal);
        if (const auto* when = find(belief, Quantity::finish_time); when && within_5)
            look(score, "finish_time", *when, base::unix_seconds(*within_5));
    }
    std::vector<double> now_errors;
    for (const Belief& belief : world.beliefs)
        if (const auto* now = find(belief, Quantity::gravity_now))
            now_errors.push_back(std::abs(now->value - world.truth_at(belief.at).sg));
    if (!now_errors.empty()) {
        std::nth_element(now_errors.begin(),
                         now_errors.begin() + static_cast<std::ptrdiff_t>(now_errors.size() / 2),
                         now_errors.end());
        score.figures["gravity_now error"] = now_errors[now_errors.size() / 2];
    }
    for (const auto& [name, share] :
         {std::pair{"final gravity error at 50 %", 0.5}, {"final gravity error at 75 %", 0.75}}) {
        const auto at = share_done(world, share);
        const Belief* belief = at ? belief_at(world, *at) : nullptr;
        if (belief == nullptr) continue;
        if (const auto* end = find(*belief, Quantity::final_gravity))
            score.figures[name] = std::abs(end->value - terminal);
        // Last reading, as a dashboard without a model shows it.
        for (auto r = world.gravity_readings.rbegin(); r != world.gravity_readings.rend(); ++r)
            if (r->taken <= *at) {
                score.figures[std::string{name} + ", last reading"] = std::abs(r->value - terminal);
                break;
            }
    }
    if (const auto at = share_done(world, 0.6); at && within_5) {
        const Belief* belief = belief_at(world, *at);
        if (belief != nullptr)
            if (const auto* when = find(*belief, Quantity::finish_time)) {
                score.figures["finish error at 60 %, h"] =
                    std::abs(when->value - base::unix_seconds(*within_5)) / 3600;
                score.figures["finish late at 60 %, h"] =
                    (when->value - base::unix_seconds(*within_5)) / 3600;
                score.figures["finish truly left at 60 %, h"] = base::hours_between(*at, *within_5);
                score.figures["finish told at 60 %"] = 1;
            }
        if (const auto slope = straight_line_sg_per_day(world, *at); slope && *slope < 0) {
            const double days = (terminal + 0.0005 - world.truth_at(*at).sg) / *slope;
            score.figures["finish error at 60 %, h, straight line"] =
                std::abs(base::unix_seconds(*at) + days * 86400 - base::unix_seconds(*within_5)) / 3600;
        }
        score.figures["finish asked at 60 %"] = 1;
    }

    // ---- facts
    std::vector<Timestamp> finished, stalled;  // the last one counts; empty: never said, or taken back
    for (const Told& told : world.facts) {
        if (told.kind == FactKind::fermentation_finished) {
            if (!told.revoked) {
                finished.push_back(told.at);
                if (world.truth_at(told.at).sg - terminal > 0.0007) score.figures["finished too early"] += 1;
            } else {
                finished.clear();
            }
        }
        if (told.kind == FactKind::fermentation_stalled && !told.revoked && stalled.empty())
            stalled.push_back(told.at);
    }
    const bool stuck =
        std::any_of(world.scenario.troubles.begin(), world.scenario.troubles.end(),
                    [](const auto& t) { return t.kind == virtual_vessel::TroubleKind::stuck; });
    if (!stuck && within_7 && world.truths.back().time - *within_7 > 48h) {
        score.figures["finished expected"] = 1;
        if (!finished.empty()) {
            score.figures["finished"] = 1;
            score.figures["finished after, h"] = base::hours_between(*within_7, finished.back());
            if (base::hours_between(*within_7, finished.back()) > 48) score.figures["finished late"] = 1;
        }
    }
    if (stuck) {
        score.figures["stall expected"] = 1;
        if (!finished.empty()) score.figures["finished though stuck"] = 1;
        if (!stalled.empty() && within_7) {
            score.figures["stall told"] = 1;
            score.figures["stall told after, h"] = base::hours_between(*within_7, stalled.front());
        }
    } else if (!stalled.empty()) {
        score.figures["false stall"] = 1;
    }
}

void score_gas(const World& world, Score& score) {
    std::vector<double> errors, chart_errors;
    std::optional<Timestamp> on_gas_since;
    Timestamp shut_since{};  // zero: not shut
    for (const Belief& belief : world.beliefs) {
        const Truth& truth = world.truth_at(belief.at);
        if (truth.stage < base::StageKind::ferment) continue;
        const auto* co2 = find(belief, Quantity::co2_volumes);
        if (truth.head_space == base::HeadSpace::supplied && truth.supply_pressure_kpa > 0) {
            if (!on_gas_since) on_gas_since = belief.at;
        }
        const bool shut = truth.head_space == base::HeadSpace::sealed;
        if (shut && shut_since == Timestamp{}) shut_since = belief.at;
        if (!shut) shut_since = {};
        if (co2 == nullptr || belief.at.time_since_epoch() % 6h != 0min) continue;
        look(score, "co2_volumes", *co2, truth.co2_volumes);
        errors.push_back(std::abs(co2->value - truth.co2_volumes));
        const auto head = base::Pressure::from_kpa_absolute(truth.head_pressure_kpa + truth.ambient_kpa);
        chart_errors.push_back(std::abs(brewing::volumes_in_beer(truth.beer_c, head) - truth.co2_volumes));
        if (on_gas_since && belief.at - *on_gas_since >= 72h &&
            !score.figures.contains("co2 width after 3 d on gas"))
            score.figures["co2 width after 3 d on gas"] = co2->high - co2->low;
        if (shut_since != Timestamp{} && belief.at - shut_since >= 24h && on_gas_since) {
            score.figures["co2 error after shut-in"] = std::abs(co2->value - truth.co2_volumes);
        }
        if (const auto* equilibrium = find(belief, Quantity::co2_equilibrium_volumes))
            look(score, "co2_equilibrium_volumes", *equilibrium,
                 brewing::volumes_in_beer(truth.beer_c, head, truth.solubility_factor));
    }
    const auto median = [](std::vector<double>& v) {
        std::nth_element(v.begin(), v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2), v.end());
        return v[v.size() / 2];
    };
    if (!errors.empty()) {
        score.figures["co2 error"] = median(errors);
        score.figures["co2 error, chart"] = median(chart_errors);
    }

    // carbonated: first truly within 0.05 of the target, against what was foretold a day after gas came on
    const double target = world.scenario.target_co2_volumes;
    std::optional<Timestamp> truly;
    for (const Truth& truth : world.truths)
        if (truth.co2_volumes >= target - 0.05) {
            truly = truth.time;
            break;
        }
    if (truly)
        for (const Belief& belief : world.beliefs)
            if (const auto* when = find(belief, Quantity::carbonated_time);
                when && belief.at < *truly && belief.at.time_since_epoch() % 6h == 0min)
                look(score, "carbonated_time", *when, base::unix_seconds(*truly));

    bool leaks = world.scenario.vessel.leak_mmol_per_h_kpa > 0;
    std::optional<Timestamp> leak_since;
    for (const auto& trouble : world.scenario.troubles)
        if (trouble.kind == virtual_vessel::TroubleKind::leak) {
            leaks = true;
            leak_since = world.scenario.begin + base::hours(trouble.start_hours);
        }
    for (const Told& told : world.facts) {
        if (told.kind != FactKind::leak_suspected || told.revoked) continue;
        if (!leaks)
            score.figures["false leak"] += 1;
        else if (!score.figures.contains("leak told")) {
            score.figures["leak told"] = 1;
            if (leak_since) score.figures["leak told after, h"] = base::hours_between(*leak_since, told.at);
        }
    }
    if (leaks) score.figures["leak expected"] = 1;

    // warm-up of a shut vessel whose chiller failed: the outlook before, against the pressure finally reached
    for (const auto& trouble : world.scenario.troubles) {
        if (trouble.kind != virtual_vessel::TroubleKind::chiller_failure) continue;
        const Belief* before = belief_at(world, world.scenario.begin + base::hours(trouble.start_hours));
        if (before == nullptr) continue;
        // What it would reach at the worst case, from the true contents: the relief valve may cut it short in
        // the world.
        const Truth& truth = world.truth_at(before->at);
        const auto ambient = base::Pressure::from_kpa_absolute(truth.ambient_kpa);
        const auto reached = brewing::pressure_after(
            {truth.volume_l, truth.head_space_l, truth.solubility_factor},
            {truth.beer_c, base::Pressure::from_kpa_gauge(truth.head_pressure_kpa, ambient)}, 25.0);
        if (const auto* warm = find(*before, Quantity::warm_pressure)) {
            score.figures["warm_pressure off, %"] = 100 * (warm->value / reached.kpa_gauge(ambient) - 1);
            look(score, "warm_pressure", *warm, reached.kpa_gauge(ambient));
        }
    }
}

void score_alarms(const World& world, Score& score) {
    double limit =
        std::min(world.scenario.vessel.working_pressure_kpa, world.scenario.vessel.relief_pressure_kpa);
    std::optional<Timestamp> reached;
    for (const Truth& truth : world.truths)
        if (truth.relief_open || truth.head_pressure_kpa >= limit - 1) {
            reached = truth.time;
            break;
        }
    for (const auto& alarm : world.alarms) {
        if (alarm.state != alarms::AlarmState::raised) continue;
        score.figures["alarms raised"] += 1;
        if (alarm.rule == "pressure_rising_to_limit") {
            if (!reached)
                score.figures["false pressure_rising"] += 1;
            else if (!score.figures.contains("limit warned before, min"))
                score.figures["limit warned before, min"] = base::hours_between(alarm.at, *reached) * 60;
        }
    }
    if (reached) score.figures["limit reached"] = 1;
}

}  // namespace

Score score(const World& world) {
    Score result;
    score_gravity(world, result);
    score_gas(world, result);
    score_alarms(world, result);
    result.figures["seconds"] = world.seconds;
    return result;
}

std::optional<double> median_of(const std::vector<Score>& scores, const std::string& figure) {
    std::vector<double> values;
    for (const Score& s : scores)
        if (const auto found = s.figures.find(figure); found != s.figures.end())
            values.push_back(found->second);
    if (values.empty()) return std::nullopt;
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

double sum_of(const std::vector<Score>& scores, const std::string& figure) {
    double sum = 0;
    for (const Score& s : scores)
        if (const auto found = s.figures.find(figure); found != s.figures.end()) sum += found->second;
    return sum;
}

std::optional<double> held_share(const std::vector<Score>& scores, const std::string& quantity) {
    int held = 0, looked = 0;
    for (const Score& s : scores)
        if (const auto found = s.coverage.find(quantity); found != s.coverage.end())
            held += found->second.first, looked += found->second.second;
    return looked == 0 ? std::nullopt : std::optional{static_cast<double>(held) / looked};
}

}  // namespace gyled::simulation
