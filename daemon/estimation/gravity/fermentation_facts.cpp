#include "daemon/estimation/gravity/fermentation_facts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "daemon/brewing/extract.hpp"
#include "daemon/brewing/fermentation.hpp"
#include "daemon/estimation/gravity/parameters.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"

namespace gyled::estimation::gravity {
namespace {

/// Share of the believed hypotheses in which something holds.
template <class Claim>
double probability_of(const CurvePopulation& curves, Claim claim) {
    double sum = 0;
    for (const Prediction& o : curves.predictions())
        if (claim(o)) sum += o.weight;
    return sum;
}

template <class Measure>
double quantile_of(const CurvePopulation& curves, double share, Measure measure) {
    std::vector<statistics::Weighted> values;
    values.reserve(curves.predictions().size());
    for (const Prediction& p : curves.predictions()) values.push_back({measure(p), p.weight});
    return values.empty() ? 0.0 : statistics::quantile(values, share);
}

double median_rate(const CurvePopulation& curves) {
    constexpr double half = 0.5;
    return quantile_of(curves, half, [](const Prediction& p) { return p.per_day; });
}

double median_gravity(const CurvePopulation& curves) {
    constexpr double half = 0.5;
    return quantile_of(curves, half, [](const Prediction& p) { return p.now; });
}

double median_original(const CurvePopulation& curves) {
    constexpr double half = 0.5;
    return quantile_of(curves, half, [](const Prediction& p) { return p.original; });
}

constexpr StartParameters starting;
constexpr OverdueParameters overdue;
constexpr StallParameters stalling;
constexpr FinishParameters finishing;
constexpr ByHandParameters by_hand;
constexpr ResumeParameters resume;
/// What counts as a stable gravity, points per day.
constexpr double stable_per_day = brewing::points_per_sg * brewing::stable_slope_sg_per_day;

/// The trend over the shortest window that readings cover, for such a share of it, and whose slope is known
/// to `sigma`; else over the longest.
template <std::size_t n>
GravityRecord::Trend first_clear_trend(const GravityRecord& record, double now_h,
                                       const std::array<double, n>& windows_h, double sigma, double share) {
    GravityRecord::Trend trend;
    for (const double window_h : windows_h) {
        trend = record.trend(now_h - window_h, now_h);
        if (trend.sigma > 0 && trend.sigma < sigma && trend.span_h > share * window_h) break;
    }
    return trend;
}

double sg(double points) {
    return brewing::sg_from_points(points);
}
/// A difference of gravities, points to SG.
double sg_difference(double points) {
    return points / brewing::points_per_sg;
}

}  // namespace

void FermentationJudge::decide(FactKind kind, const Evaluation& evaluation, std::string evidence) {
    Fact fact;
    fact.kind = kind;
    fact.at = evaluation.at;
    fact.evidence = std::move(evidence);
    facts_.push_back(std::move(fact));
}

void FermentationJudge::revoke(FactKind kind, const Evaluation& evaluation, const std::string& because) {
    for (Fact& fact : facts_) {
        if (fact.kind != kind || fact.revoked) continue;
        fact.revoked = true;
        fact.revoked_at = evaluation.at;
        fact.revoked_because = because;
    }
}

ChangePoints FermentationJudge::judge(const Evaluation& evaluation) {
    if (is_started()) change_points_.woke_h = evaluation.woke_h;
    if (evaluation.record.is_empty()) {
        judge_by_hand(evaluation);
        return change_points_;
    }
    if (!is_started()) {
        judge_start(evaluation);
    } else if (is_finished() || is_stalled()) {
        judge_resumed(evaluation);
    } else {
        judge_stall(evaluation);
        if (!is_stalled()) judge_finish(evaluation);
    }
    remember(evaluation);
    return change_points_;
}

void FermentationJudge::judge_start(const Evaluation& evaluation) {
    const auto& points = evaluation.record.points();
    const double first_h = points.front().hour;
    const double now_h = evaluation.present.hour;
    const auto before = evaluation.record.level(first_h, first_h + starting.first_h);
    const auto now = evaluation.record.level(now_h - starting.now_h, now_h);
    const double fell = before.points - now.points;
    const double noise = std::hypot(before.sigma, now.sigma);
    const double believed = quantile_of(evaluation.curves, starting.low_end,
                                        [](const Prediction& p) { return p.original - p.now; });
    const bool seen =
        now.count > 0 && fell > starting.fell + starting.sigmas * noise && believed > starting.believed;
    const bool came_late = now.count > 0 && believed > starting.believed_late;
    if (!seen && !came_late) return judge_overdue(evaluation);
    start(evaluation,
          seen ? fmt::format("Gravity is {:.3f} below its first readings", sg_difference(fell))
               : fmt::format("Gravity is at least {:.3f} below the original one", sg_difference(believed)));
}

void FermentationJudge::start(const Evaluation& evaluation, std::string evidence) {
    started_h_ = evaluation.present.hour;
    revoke(FactKind::fermentation_overdue, evaluation, evidence);
    decide(FactKind::fermentation_started, evaluation, std::move(evidence));
}

/// Later than nine in ten batches of this culture, and the curves, too, have seen no fall.
void FermentationJudge::judge_overdue(const Evaluation& evaluation) {
    const double now_h = evaluation.present.hour;
    const double fell_most = quantile_of(evaluation.curves, overdue.high_end,
                                         [](const Prediction& p) { return p.original - p.now; });
    const double heard_h =
        std::max(evaluation.record.last_hour() + overdue.heard_within_h,
                 evaluation.hands.empty() ? 0.0 : evaluation.hands.back().hour + by_hand.heard_within_h);
    if (evaluation.present.thermal.usual < evaluation.begun_by_h + overdue.seen_after_h ||
        fell_most > overdue.fell_most || now_h > heard_h ||
        std::ranges::count(facts_, FactKind::fermentation_overdue, &Fact::kind) > 0)
        return;
    decide(
        FactKind::fermentation_overdue, evaluation,
        fmt::format("Gravity fell by {:.3f} at most in {:.0f} h; {} would nearly always have begun by now",
                    sg_difference(fell_most), now_h,
                    evaluation.batches > 0 ? fmt::format("after {} batches, this culture", evaluation.batches)
                                           : std::string{"yeast"}));
}

double FermentationJudge::Forecast::fall_least(double hours) const {
    const double halves = std::clamp(hours / PredictionParameters{}.forecast_h, 0.0, 2.0);
    return halves < 1 ? halves * fall_12h_least
                      : fall_12h_least + (halves - 1) * std::max(0.0, fall_24h_least - fall_12h_least);
}

const FermentationJudge::Forecast* FermentationJudge::forecast_at(double hour) const {
    const auto found = std::ranges::lower_bound(forecasts_, hour, {}, &Forecast::hour);
    return found == forecasts_.end() ? nullptr : &*found;
}

double FermentationJudge::steepest() const {
    double rate = 0;
    for (const Forecast& then : forecasts_) rate = std::min(rate, then.per_day);
    return rate;
}

void FermentationJudge::remember(const Evaluation& evaluation) {
    if (!is_started()) return;
    Forecast forecast;
    forecast.hour = evaluation.present.hour;
    forecast.thermal_h = evaluation.present.thermal.usual;
    forecast.fall_12h_least =
        quantile_of(evaluation.curves, stalling.fall_low_end, [](const Prediction& p) { return p.fall_12h; });
    forecast.fall_24h_least =
        quantile_of(evaluation.curves, stalling.fall_low_end, [](const Prediction& p) { return p.fall_24h; });
    forecast.left_least = quantile_of(evaluation.curves, stalling.left_low_end,
                                      [](const Prediction& p) { return p.now - p.final; });
    forecast.per_day = median_rate(evaluation.curves);
    forecasts_.push_back(forecast);
    while (forecasts_.front().hour < evaluation.present.hour - stalling.forecasts_kept_h)
        forecasts_.pop_front();
}

/// The trend over the shortest window that is surely flatter than a part of the steepest fall lately. A float
/// wanders while yeast works: over a day that alone is a point per day of slope.
std::optional<GravityRecord::Trend> FermentationJudge::flat_trend(const Evaluation& evaluation) const {
    const double gentle_per_day = std::clamp(-stalling.gentle_share * steepest(), stalling.gentle_per_day,
                                             stalling.gentle_per_day_most);
    const double now_h = evaluation.present.hour;
    for (const double window_h : stalling.gentle_windows_h) {
        const auto trend = evaluation.record.trend(now_h - window_h, now_h);
        const double sigma = std::hypot(trend.sigma, stalling.gentle_wander / window_h);
        if (trend.count >= stalling.gentle_count && trend.span_h > stalling.gentle_span * window_h &&
            trend.points_per_day - 2.0 * sigma > -gentle_per_day)
            return trend;
    }
    return std::nullopt;
}

void FermentationJudge::judge_stall(const Evaluation& evaluation) {
    const double now_h = evaluation.present.hour;
    const auto now = evaluation.record.level(now_h - stalling.now_h, now_h);
    const double present_gravity = median_gravity(evaluation.curves);
    const double beyond = present_gravity - evaluation.expected_final;
    const double rate = median_rate(evaluation.curves);
    bool stands = false;
    std::string why;
    for (const Forecast& then : forecasts_) {
        const double since_h = now_h - then.hour;
        if (since_h < stalling.since_min_h || now.count < stalling.level_count_min) continue;
        const auto before =
            evaluation.record.level(then.hour - stalling.then_before_h, then.hour + stalling.then_after_h);
        if (before.count < stalling.level_count_min) continue;
        const double thermal_h = evaluation.present.thermal.usual - then.thermal_h;
        const double forecast = then.fall_least(thermal_h);
        const double fell = before.points - now.points;
        const double wander = std::max(stalling.wander_min, evaluation.curves.wander(since_h));
        const double noise = std::hypot(before.sigma, now.sigma, wander);
        if (fell < stalling.fell_share * forecast &&
            forecast - fell > stalling.lacks + stalling.lacks_sigmas * noise &&
            then.left_least - fell > stalling.left_min && rate > stalling.slowed * then.per_day) {
            stands = true;
            why = fmt::format("it fell by {:.4f} in {:.0f} h, and by {:.4f} at least was expected",
                              sg_difference(std::max(0.0, fell)), since_h, sg_difference(forecast));
        }
    }
    // A gentle stop is within what the curves forecast; then it is the brewer's or the culture's expectation
    // that speaks.
    if (const auto flat = flat_trend(evaluation);
        !stands && flat &&
        beyond > std::max(stalling.beyond_end, stalling.beyond_end_sigmas * evaluation.expected_sigma)) {
        stands = true;
        why = fmt::format("it changed {:.4f} a day over the last {:.0f} h",
                          std::abs(sg_difference(flat->points_per_day)), flat->span_h);
    }
    // Slow organisms take over from fast ones, and woken yeast takes its time: neither has stalled.
    if (evaluation.is_mixed) {
        const auto weeks = evaluation.record.trend(now_h - stalling.mixed_h, now_h);
        if (weeks.span_h < stalling.mixed_span_h ||
            weeks.points_per_day - 2.0 * weeks.sigma < -stalling.mixed_per_day)
            stands = false;
    }
    if (evaluation.woke_h && now_h - *evaluation.woke_h < stalling.woken_h) stands = false;
    // The last few hours must agree.
    const auto lately = evaluation.record.trend(now_h - stalling.lately_h, now_h);
    if (lately.count >= stalling.lately_count &&
        lately.points_per_day + 2.0 * lately.sigma < -stalling.lately_per_day)
        stands = false;
    if (evaluation.awake < stalling.awake_min || beyond < stalling.beyond_min) stands = false;
    // A slow beginning is no stall.
    const double original = median_original(evaluation.curves);
    if (original - present_gravity < stalling.gone_min * (original - evaluation.expected_final))
        stands = false;
    evaluations_of_stall_ = stands ? evaluations_of_stall_ + 1 : 0;
    if (evaluations_of_stall_ < stalling.evaluations) return;
    stall(evaluation, now, why);
}

void FermentationJudge::stall(const Evaluation& evaluation, const GravityRecord::Level& now,
                              const std::string& why) {
    stalled_h_ = evaluation.present.hour;
    level_then_ = now.points;
    level_then_sigma_ = now.sigma;
    evaluations_of_stall_ = 0;
    change_points_.stalled_h = evaluation.present.hour - stalling.began_before_h;
    decide(FactKind::fermentation_stalled, evaluation,
           fmt::format("Gravity stands at {:.4f}, and about {:.4f} is expected at the end: {}",
                       sg(median_gravity(evaluation.curves)), sg(evaluation.expected_final), why));
}

void FermentationJudge::judge_finish(const Evaluation& evaluation) {
    const double now_h = evaluation.present.hour;
    const auto trend = first_clear_trend(evaluation.record, now_h, finishing.windows_h,
                                         finishing.window_sigma, finishing.window_span);
    const double sure = probability_of(
        evaluation.curves, [](const Prediction& p) { return p.now - p.final < finishing.near_end; });
    const bool alone = sure > finishing.sure_alone;
    const bool measured = trend.count >= finishing.count_min && trend.sigma > 0 &&
                          trend.sigma < (alone ? finishing.sigma_alone : finishing.sigma_max) &&
                          trend.span_h > finishing.span_min_h &&
                          now_h - evaluation.record.last_hour() < finishing.heard_within_h;
    const bool flat = trend.points_per_day > -stable_per_day - trend.sigma &&
                      (alone || trend.points_per_day - 2.0 * trend.sigma > -finishing.bound_per_day);
    // Slow organisms need a long look.
    const auto week = evaluation.record.trend(now_h - finishing.mixed_h, now_h);
    const bool slow_flat =
        !evaluation.is_mixed ||
        (week.span_h > finishing.mixed_span_h && week.points_per_day - week.sigma > -finishing.mixed_per_day);
    const double present_gravity = median_gravity(evaluation.curves);
    const bool as_expected =
        present_gravity - evaluation.expected_final <
        std::max(finishing.beyond_end, finishing.beyond_end_sigmas * evaluation.expected_sigma);
    // What was at its end when the cold came has ended; a longer sleep tells nothing more.
    const bool awake = evaluation.awake > finishing.awake_min ||
                       (evaluation.slept_h > 0 && evaluation.slept_h < finishing.asleep_max_h);
    const bool ends =
        measured && flat && slow_flat && as_expected && awake && sure > evaluation.certainty_to_finish;
    evaluations_of_end_ = ends ? evaluations_of_end_ + 1 : 0;
    if (evaluations_of_end_ < finishing.evaluations) return;
    finish(evaluation, evaluation.record.level(now_h - finishing.level_h, now_h),
           fmt::format("Gravity is {:.4f} and changed {:.4f} a day or less over {:.0f} h; it lies within "
                       "0.0007 of the end with "
                       "{:.0f} % certainty",
                       sg(present_gravity),
                       sg_difference(std::abs(trend.points_per_day) + finishing.told_sigmas * trend.sigma),
                       trend.span_h, 100 * sure));
}

void FermentationJudge::finish(const Evaluation& evaluation, const GravityRecord::Level& now,
                               std::string evidence) {
    finished_h_ = evaluation.present.hour;
    level_then_ = now.points;
    level_then_sigma_ = now.sigma;
    evaluations_of_end_ = 0;
    decide(FactKind::fermentation_finished, evaluation, std::move(evidence));
}

/// Two readings by hand, a day apart, say what a sensor's hours say else.
void FermentationJudge::judge_by_hand(const Evaluation& evaluation) {
    if (evaluation.hands.empty()) return;
    const double now_h = evaluation.present.hour;
    const HandPoint& last = evaluation.hands.back();
    if (now_h - last.hour > by_hand.heard_within_h) return;
    if (!is_started()) {
        const double believed = quantile_of(evaluation.curves, starting.low_end,
                                            [](const Prediction& p) { return p.original - p.now; });
        if (believed < by_hand.started_fell) return judge_overdue(evaluation);
        start(evaluation,
              fmt::format("Gravity is at least {:.3f} below the original one", sg_difference(believed)));
    } else if (!is_finished() && !is_stalled()) {
        judge_end_by_hand(evaluation);
    }
    remember(evaluation);
}

namespace {

/// How far the gravity fell by hand until the last reading; nothing where there is none to compare it with.
struct FellByHand {
    double from_h = 0, points = 0, noise = 0, hours = 0;
    [[nodiscard]] double sure_per_day() const { return (points - noise) * hours_per_day / hours; }
    [[nodiscard]] std::string text() const {
        return fmt::format("by hand it fell by {:.4f} in {:.0f} h", sg_difference(std::max(0.0, points)),
                           hours);
    }
};
std::optional<FellByHand> fell_by_hand(const std::vector<HandPoint>& hands, double apart_h) {
    const HandPoint& last = hands.back();
    const auto before = std::find_if(hands.rbegin(), hands.rend(),
                                     [&](const HandPoint& h) { return h.hour < last.hour - apart_h; });
    if (before == hands.rend() || before->hour < last.hour - by_hand.within_h) return std::nullopt;
    return FellByHand{before->hour, before->points - last.points, std::sqrt(before->variance + last.variance),
                      last.hour - before->hour};
}

}  // namespace

void FermentationJudge::judge_end_by_hand(const Evaluation& evaluation) {
    const HandPoint& last = evaluation.hands.back();
    const GravityRecord::Level level{last.points, std::sqrt(last.variance), 2};
    const double beyond = last.points - evaluation.expected_final;
    const double sure = probability_of(
        evaluation.curves, [](const Prediction& p) { return p.now - p.final < finishing.near_end; });
    const auto days = fell_by_hand(evaluation.hands, by_hand.end_apart_h);
    if (days && days->sure_per_day() < by_hand.end_per_day &&
        sure > std::max(by_hand.certain, evaluation.certainty_to_finish) &&
        beyond < std::max(finishing.beyond_end, finishing.beyond_end_sigmas * evaluation.expected_sigma)) {
        finish(
            evaluation, level,
            fmt::format("Gravity is {:.4f}; {}, and it lies within 0.0007 of the end with {:.0f} % certainty",
                        sg(last.points), days->text(), 100 * sure));
        return;
    }
    const auto day = fell_by_hand(evaluation.hands, by_hand.apart_h);
    if (!day || day->sure_per_day() > by_hand.per_day || evaluation.awake < stalling.awake_min) return;
    const Forecast* then = forecast_at(day->from_h);
    const bool fell_short = then && then->hour < last.hour &&
                            then->fall_12h_least - day->points > stalling.lacks + by_hand.sigmas * day->noise;
    if (fell_short &&
        beyond > std::max(stalling.beyond_end, stalling.beyond_end_sigmas * evaluation.expected_sigma))
        stall(evaluation, level, day->text());
}

/// New evidence after the decision: a fall that is neither noise nor the drift of a sensor.
void FermentationJudge::judge_resumed(const Evaluation& evaluation) {
    const double now_h = evaluation.present.hour;
    const double then_h = is_finished() ? *finished_h_ : *stalled_h_;
    const auto now = evaluation.record.level(
        now_h - (is_finished() ? resume.level_finished_h : resume.level_stalled_h), now_h);
    if (now.count < resume.level_count_min || evaluation.awake < resume.awake_min) return;
    // A sensor that drifted all the while goes on drifting: what it did since then is the yardstick, once it
    // is long enough; before that a drift is unlikely to be large.
    const double settled_until_h = std::min(now_h - resume.settled_gap_h, then_h + resume.settled_for_h);
    const auto settled = evaluation.record.trend(then_h - resume.settled_before_h, settled_until_h);
    const auto plateau = evaluation.record.level(then_h - resume.settled_before_h, settled_until_h);
    const bool is_settled = settled.span_h > resume.settled_span_min_h;
    constexpr double drift_variance = resume.drift_sigma * resume.drift_sigma;
    const double usual = is_settled ? drift_variance / (drift_variance + settled.sigma * settled.sigma) : 0.0;
    const double drift = usual * settled.points_per_day;
    const double days =
        (now_h - (is_settled ? (then_h - resume.settled_before_h + settled_until_h) / 2 : then_h)) /
        hours_per_day;
    const double before = is_settled ? plateau.points : level_then_;
    const double noise = std::hypot(now.sigma, is_settled ? plateau.sigma : level_then_sigma_);
    const double fell = before + drift * days - now.points;
    const auto falls = [&](double window_h) {
        const auto trend = evaluation.record.trend(now_h - window_h, now_h);
        return trend.count >= resume.window_count &&
               trend.points_per_day + trend.sigma < std::min(0.0, drift) - resume.falls_per_day;
    };
    const bool falling =
        falls(resume.window_h) || (now_h - then_h > resume.window_slow_h && falls(resume.window_slow_h));
    const double doubt = is_settled ? resume.drift_doubt + resume.drift_doubt_sigmas * usual * settled.sigma
                                    : resume.drift_doubt_early;  // points per day
    const double allowed = (is_finished() ? resume.fell_finished : resume.fell_stalled) +
                           resume.fell_sigmas * noise + doubt * std::max(0.0, days);
    if (!falling || fell < allowed) return;
    const std::string evidence = fmt::format(
        "Gravity fell by {:.4f} within {:.0f} h, now by {:.4f} a day", sg_difference(fell), now_h - then_h,
        sg_difference(-evaluation.record.trend(now_h - resume.window_h, now_h).points_per_day));
    if (is_finished()) {
        revoke(FactKind::fermentation_finished, evaluation, evidence);
        change_points_.crept_h = std::max(then_h, now_h - resume.creep_began_h);
    } else {
        if (now_h - then_h < resume.stall_was_wrong_h)
            revoke(FactKind::fermentation_stalled, evaluation, evidence);
        change_points_.stalled_h.reset();
    }
    finished_h_.reset();
    stalled_h_.reset();
    forecasts_.clear();
    decide(FactKind::fermentation_resumed, evaluation, evidence);
}

}  // namespace gyled::estimation::gravity
