#include "daemon/estimation/gravity/curve.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "daemon/brewing/balling.hpp"
#include "daemon/estimation/gravity/fermentation_facts.hpp"
#include "daemon/estimation/gravity/parameters.hpp"
#include "daemon/estimation/gravity/population.hpp"
#include "daemon/estimation/gravity/record.hpp"
#include "daemon/estimation/gravity/thermal_time.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"

namespace gyled::estimation::gravity {
namespace {

using base::Estimate;
using base::Quantity;
using base::Timestamp;

constexpr CurveParameters fitting;
constexpr double never_yet = -1e300;  // hours
constexpr double rounding_h = 1e-6;   // quarters add up to hours but for this
constexpr double seconds_per_hour = 3600.0;
constexpr PlausibleGravity plausible;
constexpr CalibrationParameters calibrated;
constexpr ForcedFermentParameters forced;

bool is_gravity(double sg) {
    return std::isfinite(sg) && sg > plausible.sg_min && sg < plausible.sg_max;
}
bool is_sigma(double sigma) {
    return std::isfinite(sigma) && sigma > 0.0;
}
using brewing::points_from_sg;
using brewing::sg_from_points;
/// A difference of gravities, points to SG.
double sg_difference(double points) {
    return points / brewing::points_per_sg;
}

GravityPrior without_nonsense(GravityPrior prior) {
    const GravityPrior ordinary;
    if (prior.original_gravity && !is_gravity(*prior.original_gravity)) prior.original_gravity.reset();
    if (prior.expected_final_gravity && !is_gravity(*prior.expected_final_gravity))
        prior.expected_final_gravity.reset();
    if (!is_sigma(prior.original_gravity_sigma))
        prior.original_gravity_sigma = ordinary.original_gravity_sigma;
    if (!is_sigma(prior.expected_final_gravity_sigma))
        prior.expected_final_gravity_sigma = ordinary.expected_final_gravity_sigma;
    if (!is_sigma(prior.sensor_bias_sigma)) prior.sensor_bias_sigma = ordinary.sensor_bias_sigma;
    return prior;
}

/// Median and 90 % interval of what the believed hypotheses say.
template <class Measure>
Estimate estimate_of(const std::vector<Prediction>& predictions, Measure measure) {
    std::vector<statistics::Weighted> values;
    values.reserve(predictions.size());
    for (const Prediction& p : predictions) values.push_back({measure(p), p.weight});
    return statistics::median_and_90_percent(values);
}

/// Slow cultures creep towards their end: more certainty is asked of them.
double certainty_to_finish(base::Culture culture) {
    switch (culture) {
        case base::Culture::lager:
            return fitting.certain_lager;
        case base::Culture::mixed:
            return fitting.certain_mixed;
        case base::Culture::ale:
            break;
    }
    return fitting.certain_ale;
}

/// So that it holds as often as it says.
void stretch(Estimate& estimate, double factor) {
    estimate.low = estimate.value - factor * (estimate.value - estimate.low);
    estimate.high = estimate.value + factor * (estimate.high - estimate.value);
}

/// By an independent doubt of so much at 90 %.
void widen(Estimate& estimate, double doubt) {
    estimate.low = estimate.value - std::hypot(estimate.value - estimate.low, doubt);
    estimate.high = estimate.value + std::hypot(estimate.high - estimate.value, doubt);
}

}  // namespace

struct GravityCurve::State {
    State(GravityPrior given, Timestamp when)
        : prior{without_nonsense(std::move(given))}, pitched{when}, at{when}, curves{prior} {
        if (prior.culture == base::Culture::lager) beer_c = fitting.start_c_lager;
        begun_by_h = begun_by_thermal_h(shape_priors(prior));
    }

    void pass_time(Timestamp now, std::optional<double> measured_c);
    void fit();
    [[nodiscard]] double fit_every_h() const;
    [[nodiscard]] ThermalTime thermal_at(double hour) const;
    [[nodiscard]] std::vector<Prediction> hypotheses() const;
    [[nodiscard]] base::Estimates answers() const;
    [[nodiscard]] double hours_until(const Prediction& hypothesis) const;
    [[nodiscard]] bool knows_gravity() const {
        return prior.original_gravity || !record.is_empty() || !hands.empty();
    }

    GravityPrior prior;
    double begun_by_h;  // thermal
    Timestamp pitched;
    Timestamp at;
    double beer_c = fitting.start_c;
    double awake = 1;
    double slept_h = 0;            // of this sleep
    std::optional<double> woke_h;  // from the last one
    Present present;
    GravityRecord record;
    std::vector<HandPoint> hands;
    CurvePopulation curves;
    FermentationJudge judge;
    std::vector<PlannedTemperature> plan;
    double fitted_h = never_yet;
    double sensor_then = 0;  // forecast reading at the last fit, points
    double sensor_per_hour = 0;
    double closed_h = never_yet;
    bool has_fitted = false;
    base::Estimates estimates;
};

void GravityCurve::State::pass_time(Timestamp now, std::optional<double> measured_c) {
    const double span_h = base::hours_between(at, now);
    if (measured_c && std::isfinite(*measured_c) && *measured_c > fitting.beer_c_min &&
        *measured_c < fitting.beer_c_max)
        beer_c = *measured_c;
    at = now;
    present.hour = base::hours_between(pitched, now);
    present.speed = thermal_speed(prior.culture, beer_c);
    present.thermal = present.thermal + span_h * present.speed;
    const double keep = std::exp(-span_h / fitting.awake_memory_h);
    if (wakefulness(prior.culture, beer_c) < fitting.asleep_below) {
        slept_h += span_h;
    } else if (wakefulness(prior.culture, beer_c) > fitting.awake_above) {
        if (slept_h > fitting.slept_min_h) woke_h = present.hour;
        slept_h = 0;
    }
    awake = keep * awake + (1.0 - keep) * wakefulness(prior.culture, beer_c);
}

ThermalTime GravityCurve::State::thermal_at(double hour) const {
    double h0 = 0;
    ThermalTime t0;
    const auto between = [&](double h1, const ThermalTime& t1) {
        const double x = h1 > h0 ? std::clamp((hour - h0) / (h1 - h0), 0.0, 1.0) : 1.0;
        return (1.0 - x) * t0 + x * t1;
    };
    for (const GravityPoint& point : record.points()) {
        if (point.hour >= hour) return between(point.hour, point.thermal);
        h0 = point.hour;
        t0 = point.thermal;
    }
    return between(present.hour, present.thermal);
}

/// Active batches are fitted each hour, settled and sleeping ones seldom.
double GravityCurve::State::fit_every_h() const {
    if (awake < fitting.settled_awake || judge.is_finished()) return fitting.fit_every_settled_h;
    return present.hour > fitting.aged_h ? fitting.fit_every_aged_h : fitting.fit_every_h;
}

void GravityCurve::State::fit() {
    if (!knows_gravity()) return;
    fitted_h = present.hour;
    present.lift_h = record.lift_h();
    ChangePoints change_points = judge.change_points();
    if (judge.is_started()) change_points.woke_h = woke_h;
    curves.follow(record.points(), hands, present, change_points,
                  has_fitted ? fitting.moves : fitting.moves_first);
    has_fitted = true;
    const auto original = estimate_of(curves.predictions(), [](const Prediction& o) { return o.original; });
    const ExpectedEnd end = expected_end(prior, original.value);
    const ChangePoints then = judge.judge({.at = at,
                                           .present = present,
                                           .record = record,
                                           .hands = hands,
                                           .curves = curves,
                                           .awake = awake,
                                           .slept_h = slept_h,
                                           .woke_h = woke_h,
                                           .expected_final = end.points,
                                           .expected_sigma = end.sigma,
                                           .begun_by_h = begun_by_h,
                                           .batches = prior.learned ? prior.learned->batches : 0,
                                           .is_mixed = prior.culture == base::Culture::mixed,
                                           .certainty_to_finish = certainty_to_finish(prior.culture)});
    if (then != change_points) curves.follow(record.points(), hands, present, then, fitting.moves);
    double sensor = 0;
    double per_day = 0;
    for (const Prediction& o : curves.predictions()) {
        sensor += o.weight * o.sensor;
        per_day += o.weight * o.per_day;
    }
    sensor_then = sensor;
    sensor_per_hour = per_day / hours_per_day;
    estimates = answers();
}

/// Those of the last fit, as they stand now: gravity falls on between two fits, but not beyond its end.
std::vector<Prediction> GravityCurve::State::hypotheses() const {
    const double since_h = std::max(0.0, present.hour - fitted_h);
    std::vector<Prediction> moved_on = curves.predictions();
    for (Prediction& o : moved_on) {
        o.now = std::max(std::min(o.now, o.final), o.now + o.per_day * since_h / hours_per_day);
        if (o.wait_h < GravityShape::never) o.wait_h -= since_h * o.thermal_per_hour;
    }
    return moved_on;
}

/// Hours from now until a hypothesis has finished; negative when it has. Follows the plan where there is one.
double GravityCurve::State::hours_until(const Prediction& hypothesis) const {
    if (hypothesis.wait_h >= GravityShape::never) return std::numeric_limits<double>::infinity();
    const ThermalMix mix = curves.mix_of(hypothesis);
    if (hypothesis.wait_h < 0) {
        const double target_h = mix.at(present.thermal) + hypothesis.wait_h;
        double h1 = present.hour;
        double t1 = mix.at(present.thermal);
        for (auto point = record.points().rbegin(); point != record.points().rend(); ++point) {
            const double t0 = mix.at(point->thermal);
            if (t0 <= target_h) {
                const double x = t1 > t0 ? (target_h - t0) / (t1 - t0) : 1.0;
                return point->hour + x * (h1 - point->hour) - present.hour;
            }
            h1 = point->hour;
            t1 = t0;
        }
        return -present.hour;
    }
    double left_h = hypothesis.wait_h;
    double hour = present.hour;
    double speed = hypothesis.thermal_per_hour;
    for (const PlannedTemperature& planned : plan) {
        const double from_h = base::hours_between(pitched, planned.from);
        if (from_h <= present.hour) continue;
        if (left_h <= speed * (from_h - hour)) break;
        left_h -= speed * (from_h - hour);
        hour = from_h;
        speed = mix.at(thermal_speed(prior.culture, planned.celsius));
    }
    if (speed < fitting.still_per_h) return std::numeric_limits<double>::infinity();
    return hour + left_h / speed - present.hour;
}

base::Estimates GravityCurve::State::answers() const {
    const std::vector<Prediction> believed = hypotheses();
    base::Estimates answer;
    const auto put = [&](Quantity quantity, auto measure) {
        return answer[quantity] = estimate_of(believed, measure);
    };
    put(Quantity::gravity_now, [](const Prediction& o) { return sg_from_points(o.now); });
    put(Quantity::gravity_rate, [](const Prediction& o) { return o.per_day / brewing::points_per_sg; });
    put(Quantity::final_gravity, [](const Prediction& o) { return sg_from_points(o.final); });
    const auto extracts = [](const Prediction& o) {
        return brewing::extracts_from(brewing::Gravities{sg_from_points(o.original), sg_from_points(o.now)});
    };
    put(Quantity::apparent_attenuation,
        [&](const Prediction& o) { return brewing::apparent_attenuation_percent(extracts(o)); });
    put(Quantity::real_attenuation,
        [&](const Prediction& o) { return brewing::real_attenuation_percent(extracts(o)); });
    put(Quantity::alcohol_by_volume, [](const Prediction& o) {
        return brewing::alcohol_by_volume_percent(
            brewing::Gravities{sg_from_points(o.original), sg_from_points(o.now)});
    });
    const double done = estimate_of(believed, [](const Prediction& o) {
                            return (o.original - o.now) / std::max(1.0, o.original - o.final);
                        }).value;
    const double of_now = done < calibrated.lag_until   ? calibrated.now_lag
                          : done < calibrated.tail_from ? calibrated.now_active
                                                        : calibrated.now_tail;
    for (const Quantity quantity : {Quantity::gravity_now, Quantity::apparent_attenuation,
                                    Quantity::real_attenuation, Quantity::alcohol_by_volume})
        stretch(answer[quantity], of_now);
    if (done > calibrated.late_from) stretch(answer[Quantity::final_gravity], calibrated.end_late);
    // what has not fermented cannot have been balanced wrongly
    const double fermented = std::clamp(
        answer[Quantity::apparent_attenuation].value / fitting.balling_fermented_percent, 0.0, 1.0);
    widen(answer[Quantity::real_attenuation], fermented * fitting.balling_attenuation);
    widen(answer[Quantity::alcohol_by_volume], fermented * fitting.balling_abv);
    put(Quantity::residual_co2_potential, [](const Prediction& o) {
        return std::max(0.0,
                        brewing::co2_volumes_from_drop(
                            {sg_from_points(o.original), sg_from_points(o.now), sg_from_points(o.final)}));
    });

    if (judge.is_finished() || judge.is_stalled() || !judge.is_started()) return answer;
    Estimate wait = estimate_of(believed, [&](const Prediction& o) { return hours_until(o); });
    if (!std::isfinite(wait.value)) return answer;
    stretch(wait, done > calibrated.late_from ? calibrated.finish_late : calibrated.finish);
    const double now_s = base::unix_seconds(at);
    const auto moment = [&](double hours) { return now_s + seconds_per_hour * hours; };
    answer[Quantity::finish_time] = {moment(wait.value), moment(wait.low), moment(wait.high)};
    return answer;
}

GravityCurve::GravityCurve(GravityPrior prior, Timestamp pitched)
    : state_{std::make_unique<State>(std::move(prior), pitched)} {
    state_->fit();
}
GravityCurve::GravityCurve(const GravityCurve& other) : state_{std::make_unique<State>(*other.state_)} {}
GravityCurve& GravityCurve::operator=(const GravityCurve& other) {
    if (this != &other) state_ = std::make_unique<State>(*other.state_);
    return *this;
}
GravityCurve::GravityCurve(GravityCurve&&) noexcept = default;
GravityCurve& GravityCurve::operator=(GravityCurve&&) noexcept = default;
GravityCurve::~GravityCurve() = default;

void GravityCurve::step(Timestamp at, std::optional<double> beer_c, std::optional<GravityBin> bin,
                        base::StageKind /*stage*/) {
    State& s = *state_;
    if (at < s.at) return;
    s.pass_time(at, beer_c);
    if (bin && bin->count > 0 && is_gravity(bin->median_sg)) {
        const double forecast = s.sensor_then + s.sensor_per_hour * (s.present.hour - s.fitted_h);
        s.record.take({s.present.hour, s.present.thermal, points_from_sg(bin->median_sg), bin->count},
                      s.has_fitted ? forecast : 0.0, std::max(0.0, -s.sensor_per_hour));
    }
    if (s.present.hour >= s.closed_h + fitting.close_every_h - rounding_h) {
        s.closed_h = s.present.hour;
        s.record.close_hour(s.present.hour);
        if (s.present.hour >= s.fitted_h + s.fit_every_h() - rounding_h) return s.fit();
    }
    // While next to nothing happens the last answer stands.
    if (s.has_fitted && s.fit_every_h() < fitting.fit_every_settled_h) s.estimates = s.answers();
}

void GravityCurve::measure(Timestamp at, double sg, double sigma) {
    State& s = *state_;
    if (!is_gravity(sg) || !is_sigma(sigma)) return;
    if (at > s.at) s.pass_time(at, {});
    const double hour = base::hours_between(s.pitched, at);
    if (hour < s.present.hour - fitting.hand_too_old_h) return;
    const double points_sigma = brewing::points_per_sg * sigma;
    s.hands.push_back({hour, s.thermal_at(hour), points_from_sg(sg), points_sigma * points_sigma});
    s.fit();
}

void GravityCurve::measure_forced(Timestamp at, double sg) {
    State& s = *state_;
    if (!is_gravity(sg)) return;
    if (at > s.at) s.pass_time(at, {});
    s.prior.expected_final_gravity = sg + sg_difference(forced.above);
    s.prior.expected_final_gravity_sigma = sg_difference(forced.sigma);
    s.curves.expect_end(s.prior);
    s.fit();
}

void GravityCurve::shift(base::Duration by) {
    state_->pitched += by;
    state_->at += by;
}

void GravityCurve::set_plan(std::vector<PlannedTemperature> plan) {
    state_->plan = std::move(plan);
}

const base::Estimates& GravityCurve::estimates() const {
    return state_->estimates;
}
const std::vector<Fact>& GravityCurve::facts() const {
    return state_->judge.facts();
}
bool GravityCurve::is_started() const {
    return state_->judge.is_started();
}
bool GravityCurve::is_stalled() const {
    return state_->judge.is_stalled();
}
bool GravityCurve::is_finished() const {
    return state_->judge.is_finished();
}

std::optional<Estimate> GravityCurve::co2_volumes_per_hour() const {
    const State& s = *state_;
    if (!s.has_fitted) return std::nullopt;
    return estimate_of(s.curves.predictions(), [](const Prediction& o) {
        return brewing::co2_volumes_from_drop({sg_from_points(o.original), sg_from_points(o.now),
                                               sg_from_points(o.now + o.per_day / hours_per_day)});
    });
}

std::optional<Estimate> GravityCurve::residual_co2_potential() const {
    const auto found = state_->estimates.find(Quantity::residual_co2_potential);
    if (found == state_->estimates.end()) return std::nullopt;
    return found->second;
}

std::vector<DropLeft> GravityCurve::drops_left() const {
    const State& s = *state_;
    if (!s.has_fitted) return {};
    std::vector<DropLeft> left;
    left.reserve(s.curves.predictions().size());
    for (const Prediction& o : s.hypotheses()) {
        left.push_back({.drop = {sg_from_points(o.original), sg_from_points(o.now), sg_from_points(o.final)},
                        .falls_sg_per_h = std::max(0.0, -o.per_day) / hours_per_day / brewing::points_per_sg,
                        .weight = o.weight});
    }
    return left;
}

std::optional<LearnedCurve> GravityCurve::learned() const {
    const State& s = *state_;
    if (!s.judge.is_finished()) return std::nullopt;
    const int batches = (s.prior.learned ? s.prior.learned->batches : 0) + 1;
    LearnedFamilies learned = s.curves.families_now();
    // Batches differ: the next one will not repeat this one's posterior, so its doubt is widened.
    GravityPrior unlearned;
    unlearned.culture = s.prior.culture;
    const ShapePriors ordinary = shape_priors(unlearned);
    const double between_batches = fitting.between_batches + fitting.few_batches / batches;
    for (std::size_t f = 0; f < families; ++f) {
        learned[f].chance = (1.0 - fitting.other_family) * learned[f].chance +
                            fitting.other_family * std::exp(ordinary[f].log_chance);
        for (int i = 0; i < index::learnt; ++i)
            learned[f].covariance(i, i) += between_batches * ordinary[f].root.row(i).squaredNorm();
    }
    return packed(learned, batches);
}

}  // namespace gyled::estimation::gravity
