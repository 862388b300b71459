#include "daemon/estimation/fermentation_facts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace gyled::estimation {
namespace {

/// Share of the believed worlds in which something holds.
template <class Claim>
double belief_in(const CurvePopulation& curves, Claim claim) {
    double sum = 0;
    for (const PossibleCurve& o : curves.outlooks())
        if (claim(o)) sum += o.weight;
    return sum;
}

template <class Measure>
double low_end(const CurvePopulation& curves, double share, Measure measure) {
    std::vector<std::pair<double, double>> values;
    for (const PossibleCurve& o : curves.outlooks()) values.emplace_back(measure(o), o.weight);
    std::ranges::sort(values);
    double sum = 0;
    for (const auto& [value, weight] : values)
        if ((sum += weight) >= share) return value;
    return values.empty() ? 0.0 : values.back().first;
}

double sg(double points) {
    return 1.0 + points / 1000.0;
}

}  // namespace

void FermentationJudge::decide(FactKind kind, const Look& look, std::string evidence) {
    Fact fact;
    fact.kind = kind;
    fact.at = look.at;
    fact.evidence = std::move(evidence);
    facts_.push_back(std::move(fact));
}

void FermentationJudge::revoke(FactKind kind, const Look& look, const std::string& because) {
    for (Fact& fact : facts_) {
        if (fact.kind != kind || fact.revoked) continue;
        fact.revoked = true;
        fact.revoked_at = look.at;
        fact.revoked_because = because;
    }
}

Turns FermentationJudge::judge(const Look& look) {
    if (is_started()) turns_.woke_h = look.woke_h;
    if (look.record.is_empty()) return turns_;
    if (!is_started()) {
        look_for_start(look);
    } else if (is_finished() || is_stalled()) {
        look_for_more(look);
    } else {
        look_for_stall(look);
        if (!is_stalled()) look_for_finish(look);
    }
    remember(look);
    return turns_;
}

void FermentationJudge::look_for_start(const Look& look) {
    const auto& points = look.record.points();
    const double first_h = points.front().hour;
    const double now_h = look.present.hour;
    const auto before = look.record.level(first_h, first_h + 4.0);
    const auto now = look.record.level(now_h - 3.0, now_h);
    const double fell = before.points - now.points;
    const double noise = std::hypot(before.sigma, now.sigma);
    const double believed =
        low_end(look.curves, 0.05, [](const PossibleCurve& o) { return o.original - o.now; });
    const bool seen = now.count > 0 && fell > 2.0 + 4.0 * noise && believed > 1.0;
    const bool came_late = now.count > 0 && believed > 8.0;
    if (!seen && !came_late) return;
    started_h_ = now_h;
    decide(FactKind::fermentation_started, look,
           seen ? fmt::format("the readings have fallen by {:.4f} since the first ones", fell / 1000.0)
                : fmt::format("the gravity is at least {:.4f} below the original one", believed / 1000.0));
}

void FermentationJudge::remember(const Look& look) {
    if (!is_started()) return;
    Forecast forecast;
    forecast.hour = look.present.hour;
    forecast.thermal_h = look.present.thermal.usual;
    forecast.fall_12h_least = low_end(look.curves, 0.10, [](const PossibleCurve& o) { return o.fall_12h; });
    forecast.left_least = low_end(look.curves, 0.05, [](const PossibleCurve& o) { return o.now - o.final; });
    forecasts_.push_back(forecast);
    while (forecasts_.front().hour < look.present.hour - 20.0) forecasts_.pop_front();
}

void FermentationJudge::look_for_stall(const Look& look) {
    const double now_h = look.present.hour;
    const auto now = look.record.level(now_h - 2.5, now_h);
    const double present_gravity = low_end(look.curves, 0.5, [](const PossibleCurve& o) { return o.now; });
    const double beyond = present_gravity - look.foreseen_final;
    bool stands = false;
    std::string why;
    for (const Forecast& then : forecasts_) {
        const double since_h = now_h - then.hour;
        if (since_h < 8.0 || now.count < 2) continue;
        const auto before = look.record.level(then.hour - 1.5, then.hour + 1.0);
        if (before.count < 2) continue;
        const double thermal_h = look.present.thermal.usual - then.thermal_h;
        const double foreseen = then.fall_12h_least * std::clamp(thermal_h / 12.0, 0.0, 1.0);
        const double fell = before.points - now.points;
        const double noise = std::hypot(before.sigma, now.sigma);
        if (fell < 0.25 * foreseen && foreseen - fell > 0.5 + 3.0 * noise && then.left_least - fell > 3.0) {
            stands = true;
            why = fmt::format("fell by {:.4f} in {:.0f} h where at least {:.4f} was foreseen",
                              std::max(0.0, fell) / 1000.0, since_h, foreseen / 1000.0);
        }
    }
    // A gentle stop is no surprise to the curves; then it is the brewer's or the culture's expectation that
    // speaks.
    const auto trend = look.record.trend(now_h - 16.0, now_h);
    if (!stands && trend.span_h > 12.0 && trend.count >= 8 && trend.sigma < 0.5 &&
        trend.points_per_day - 2.0 * trend.sigma > -1.5) {
        stands = beyond > std::max(4.5, 2.5 * look.foreseen_sigma);
        why = fmt::format("moved by {:+.4f} per day over the last {:.0f} h", trend.points_per_day / 1000.0,
                          trend.span_h);
    }
    // Slow organisms take over from fast ones, and woken yeast takes its time: neither has stalled.
    if (look.is_mixed) {
        const auto weeks = look.record.trend(now_h - 264.0, now_h);
        if (weeks.span_h < 240.0 || weeks.points_per_day - 2.0 * weeks.sigma < -0.15) stands = false;
    }
    if (look.woke_h && now_h - *look.woke_h < 60.0) stands = false;
    // The last few hours must agree.
    const auto lately = look.record.trend(now_h - 8.0, now_h);
    if (lately.count >= 5 && lately.points_per_day + 2.0 * lately.sigma < -1.0) stands = false;
    if (look.awake < 0.6 || beyond < 2.5) stands = false;
    hours_of_stall_ = stands ? hours_of_stall_ + 1 : 0;
    if (hours_of_stall_ < 3) return;
    stalled_h_ = now_h;
    level_then_ = now.points;
    level_then_sigma_ = now.sigma;
    hours_of_stall_ = 0;
    turns_.stalled_h = now_h - 14.0;
    decide(FactKind::fermentation_stalled, look,
           fmt::format("stands at {:.4f}, with about {:.4f} expected at the end: {}", sg(present_gravity),
                       sg(look.foreseen_final), why));
}

void FermentationJudge::look_for_finish(const Look& look) {
    const double now_h = look.present.hour;
    GravityRecord::Trend trend;
    for (const double window_h : {24.0, 36.0, 48.0}) {
        trend = look.record.trend(now_h - window_h, now_h);
        if (trend.sigma > 0 && trend.sigma < 0.3 && trend.span_h > 0.75 * window_h) break;
    }
    const bool measured = trend.count >= 8 && trend.sigma > 0 && trend.sigma < 0.5 && trend.span_h > 18.0 &&
                          now_h - look.record.last_hour() < 4.0;
    const bool flat =
        trend.points_per_day > -0.5 - trend.sigma && trend.points_per_day - 2.0 * trend.sigma > -1.2;
    // Slow organisms need a long look.
    const auto week = look.record.trend(now_h - 168.0, now_h);
    const bool slow_flat =
        !look.is_mixed || (week.span_h > 120.0 && week.points_per_day - week.sigma > -0.15);
    const double sure = belief_in(look.curves, [](const PossibleCurve& o) { return o.now - o.final < 0.7; });
    const double present_gravity = low_end(look.curves, 0.5, [](const PossibleCurve& o) { return o.now; });
    const bool foreseen = present_gravity - look.foreseen_final < std::max(4.5, 2.5 * look.foreseen_sigma);
    const bool ends =
        measured && flat && slow_flat && foreseen && look.awake > 0.6 && sure > look.certainty_to_finish;
    hours_of_end_ = ends ? hours_of_end_ + 1 : 0;
    if (hours_of_end_ < 3) return;
    const auto now = look.record.level(now_h - 12.0, now_h);
    finished_h_ = now_h;
    level_then_ = now.points;
    level_then_sigma_ = now.sigma;
    hours_of_end_ = 0;
    decide(
        FactKind::fermentation_finished, look,
        fmt::format(
            "{:.4f}, moved by {:+.4f} +-{:.4f} per day over the last {:.0f} h; within 0.0007 of the end with "
            "{:.0f} % certainty",
            sg(present_gravity), trend.points_per_day / 1000.0, 1.6 * trend.sigma / 1000.0, trend.span_h,
            100.0 * sure));
}

/// New evidence after the curtain: a fall that is neither noise nor the drift of a sensor.
void FermentationJudge::look_for_more(const Look& look) {
    const double now_h = look.present.hour;
    const double then_h = is_finished() ? *finished_h_ : *stalled_h_;
    const auto now = look.record.level(now_h - (is_finished() ? 12.0 : 5.0), now_h);
    if (now.count < 3 || look.awake < 0.3) return;
    // A sensor that drifted all the while goes on drifting: what it did since then is the yardstick, once it
    // is long enough; before that a drift is unlikely to be large.
    const double settled_until_h = std::min(now_h - 30.0, then_h + 120.0);
    const auto settled = look.record.trend(then_h - 12.0, settled_until_h);
    const auto plateau = look.record.level(then_h - 12.0, settled_until_h);
    const bool is_settled = settled.span_h > 48.0;
    const double usual = is_settled ? 0.15 * 0.15 / (0.15 * 0.15 + settled.sigma * settled.sigma) : 0.0;
    const double drift = usual * settled.points_per_day;
    const double days = (now_h - (is_settled ? 0.5 * (then_h - 12.0 + settled_until_h) : then_h)) / 24.0;
    const double before = is_settled ? plateau.points : level_then_;
    const double noise = std::hypot(now.sigma, is_settled ? plateau.sigma : level_then_sigma_);
    const double fell = before + drift * days - now.points;
    const auto falls = [&](double window_h) {
        const auto trend = look.record.trend(now_h - window_h, now_h);
        return trend.count >= 6 && trend.points_per_day + trend.sigma < std::min(0.0, drift) - 0.12;
    };
    const bool falling = falls(30.0) || (now_h - then_h > 60.0 && falls(60.0));
    const double doubt = is_settled ? 0.02 + 0.8 * usual * settled.sigma : 0.25;  // points per day
    const double allowed = (is_finished() ? 0.40 : 0.8) + 2.7 * noise + doubt * std::max(0.0, days);
    if (!falling || fell < allowed) return;
    const std::string evidence =
        fmt::format("fell by {:.4f} within {:.0f} h, now {:+.4f} per day", fell / 1000.0, now_h - then_h,
                    look.record.trend(now_h - 30.0, now_h).points_per_day / 1000.0);
    if (is_finished()) {
        revoke(FactKind::fermentation_finished, look, evidence);
        turns_.crept_h = std::max(then_h, now_h - 48.0);
    } else {
        if (now_h - then_h < 30.0) revoke(FactKind::fermentation_stalled, look, evidence);
        turns_.stalled_h.reset();
    }
    finished_h_.reset();
    stalled_h_.reset();
    forecasts_.clear();
    decide(FactKind::fermentation_resumed, look, evidence);
}

}  // namespace gyled::estimation
