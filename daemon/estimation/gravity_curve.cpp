#include "daemon/estimation/gravity_curve.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "daemon/brewing/balling.hpp"
#include "daemon/estimation/fermentation_facts.hpp"
#include "daemon/estimation/gravity_population.hpp"
#include "daemon/estimation/gravity_record.hpp"
#include "daemon/estimation/thermal_time.hpp"

namespace gyled::estimation {
namespace {

using base::Estimate;
using base::Quantity;
using base::Timestamp;

bool is_gravity(double sg) {
    return std::isfinite(sg) && sg > 0.95 && sg < 1.25;
}
bool is_sigma(double sigma) {
    return std::isfinite(sigma) && sigma > 0.0;
}
double sg_of(double points) {
    return 1.0 + points / 1000.0;
}
double points_of(double sg) {
    return (sg - 1.0) * 1000.0;
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

/// Median and 90 % interval of what the believed worlds say.
template <class Measure>
Estimate spread_of(const std::vector<Outlook>& outlooks, Measure measure) {
    std::vector<std::pair<double, double>> values;
    values.reserve(outlooks.size());
    for (const Outlook& o : outlooks) values.emplace_back(measure(o), o.weight);
    std::ranges::sort(values);
    const auto quantile = [&](double share) {
        double sum = 0;
        for (const auto& [value, weight] : values)
            if ((sum += weight) >= share) return value;
        return values.back().first;
    };
    return {quantile(0.5), quantile(0.05), quantile(0.95)};
}

/// Slow cultures creep towards their end: more certainty is asked of them.
double certainty_to_finish(base::Culture culture) {
    switch (culture) {
        case base::Culture::lager:
            return 0.90;
        case base::Culture::mixed:
            return 0.95;
        case base::Culture::ale:
            break;
    }
    return 0.85;
}

constexpr double ordinary_speed_c = 20.0;
constexpr double half_day_h = 12.0;

}  // namespace

struct GravityCurve::State {
    State(GravityPrior given, Timestamp when)
        : prior{without_nonsense(std::move(given))}, pitched{when}, at{when}, curves{prior} {
        if (prior.culture == base::Culture::lager) beer_c = 11.0;
    }

    void pass_time(Timestamp now, std::optional<double> measured_c);
    void look();
    [[nodiscard]] double look_every_h() const;
    [[nodiscard]] ThermalTime thermal_at(double hour) const;
    [[nodiscard]] base::Estimates answers() const;
    [[nodiscard]] double hours_until(const Outlook& world) const;
    [[nodiscard]] bool knows_gravity() const {
        return prior.original_gravity || !record.is_empty() || !hands.empty();
    }
    [[nodiscard]] double course_at(double hour) const;
    [[nodiscard]] double doubt_of_fall_since(double hour) const;

    GravityPrior prior;
    Timestamp pitched;
    Timestamp at;
    double beer_c = ordinary_speed_c;
    double awake = 1;
    double slept_h = 0;            // of this sleep
    std::optional<double> woke_h;  // from the last one
    Present present;
    GravityRecord record;
    std::vector<HandPoint> hands;
    CurvePopulation curves;
    FermentationJudge judge;
    std::vector<PlannedTemperature> plan;
    double looked_h = -1e300;
    double sensor_then = 0;  // foreseen reading at the last look, points
    double sensor_per_hour = 0;
    double closed_h = -1e300;
    bool has_looked = false;
    base::Estimates estimates;
};

void GravityCurve::State::pass_time(Timestamp now, std::optional<double> measured_c) {
    const double span_h = base::hours_between(at, now);
    if (measured_c && std::isfinite(*measured_c) && *measured_c > -10.0 && *measured_c < 60.0)
        beer_c = *measured_c;
    at = now;
    present.hour = base::hours_between(pitched, now);
    present.speed = thermal_speed(prior.culture, beer_c);
    present.thermal = present.thermal + span_h * present.speed;
    const double keep = std::exp(-span_h / half_day_h);
    if (wakefulness(prior.culture, beer_c) < 0.3) {
        slept_h += span_h;
    } else if (wakefulness(prior.culture, beer_c) > 0.7) {
        if (slept_h > 10.0) woke_h = present.hour;
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

/// Active batches are looked at each hour, settled and sleeping ones seldom.
double GravityCurve::State::look_every_h() const {
    if (awake < 0.2 || judge.is_finished()) return 3.0;
    return present.hour > 14.0 * 24.0 ? 2.0 : 1.0;
}

void GravityCurve::State::look() {
    if (!knows_gravity()) return;
    looked_h = present.hour;
    present.lift_h = record.lift_h();
    Turns turns = judge.turns();
    if (judge.is_started()) turns.woke_h = woke_h;
    curves.follow(record.points(), hands, present, turns, has_looked ? 1 : 4);
    has_looked = true;
    const auto original = spread_of(curves.outlooks(), [](const Outlook& o) { return o.original; });
    const ExpectedEnd end = expected_end(prior, original.value);
    const Turns then = judge.judge({.at = at,
                                    .present = present,
                                    .record = record,
                                    .curves = curves,
                                    .awake = awake,
                                    .woke_h = woke_h,
                                    .foreseen_final = end.points,
                                    .foreseen_sigma = end.sigma,
                                    .is_mixed = prior.culture == base::Culture::mixed,
                                    .certainty_to_finish = certainty_to_finish(prior.culture)});
    if (then != turns) curves.follow(record.points(), hands, present, then, 1);
    double sensor = 0;
    double per_day = 0;
    for (const Outlook& o : curves.outlooks()) {
        sensor += o.weight * o.sensor;
        per_day += o.weight * o.per_day;
    }
    sensor_then = sensor;
    sensor_per_hour = per_day / 24.0;
    estimates = answers();
}

/// Hours from now until a world has finished; negative when it has. Follows the plan where there is one.
double GravityCurve::State::hours_until(const Outlook& world) const {
    if (world.wait_h >= GravityShape::never) return std::numeric_limits<double>::infinity();
    const ThermalMix mix = curves.mix_of(world);
    if (world.wait_h < 0) {
        const double target_h = mix.at(present.thermal) + world.wait_h;
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
    double left_h = world.wait_h;
    double hour = present.hour;
    double speed = world.thermal_per_hour;
    for (const PlannedTemperature& planned : plan) {
        const double from_h = base::hours_between(pitched, planned.from);
        if (from_h <= present.hour) continue;
        if (left_h <= speed * (from_h - hour)) break;
        left_h -= speed * (from_h - hour);
        hour = from_h;
        speed = mix.at(thermal_speed(prior.culture, planned.celsius));
    }
    if (speed < 1e-3) return std::numeric_limits<double>::infinity();
    return hour + left_h / speed - present.hour;
}

base::Estimates GravityCurve::State::answers() const {
    const std::vector<Outlook>& worlds = curves.outlooks();
    base::Estimates answer;
    const auto put = [&](Quantity quantity, auto measure) {
        return answer[quantity] = spread_of(worlds, measure);
    };
    put(Quantity::gravity_now, [](const Outlook& o) { return sg_of(o.now); });
    put(Quantity::gravity_rate, [](const Outlook& o) { return o.per_day / 1000.0; });
    put(Quantity::final_gravity, [](const Outlook& o) { return sg_of(o.final); });
    const auto extracts = [](const Outlook& o) {
        return brewing::extracts_from(brewing::Gravities{sg_of(o.original), sg_of(o.now)});
    };
    put(Quantity::apparent_attenuation,
        [&](const Outlook& o) { return brewing::apparent_attenuation_percent(extracts(o)); });
    put(Quantity::real_attenuation,
        [&](const Outlook& o) { return brewing::real_attenuation_percent(extracts(o)); });
    put(Quantity::alcohol_by_volume, [](const Outlook& o) {
        return brewing::alcohol_by_volume_percent(brewing::Gravities{sg_of(o.original), sg_of(o.now)});
    });
    put(Quantity::residual_co2_potential, [](const Outlook& o) {
        return std::max(0.0,
                        brewing::co2_volumes_from_drop({sg_of(o.original), sg_of(o.now), sg_of(o.final)}));
    });

    if (judge.is_finished() || judge.is_stalled() || !judge.is_started()) return answer;
    const Estimate left = spread_of(worlds, [](const Outlook& o) { return o.now - o.final; });
    const Estimate end = answer[Quantity::final_gravity];
    const Estimate wait = spread_of(worlds, [&](const Outlook& o) { return hours_until(o); });
    if (!std::isfinite(wait.value)) return answer;
    const bool end_in_sight = 1000.0 * (end.high - end.low) < left.value || wait.high - wait.low < 48.0;
    if (!end_in_sight) return answer;
    const double now_s = base::unix_seconds(at);
    answer[Quantity::finish_time] = {now_s + 3600.0 * wait.value, now_s + 3600.0 * wait.low,
                                     now_s + 3600.0 * wait.high};
    return answer;
}

double GravityCurve::State::course_at(double hour) const {
    const auto& course = curves.course();
    const auto after = std::ranges::lower_bound(course, hour, {}, &Course::hour);
    const double now = points_of(estimates.at(Quantity::gravity_now).value);
    double h0 = 0, p0 = course.empty() ? now : course.front().points;
    double h1 = present.hour, p1 = course.empty() ? now : course.back().points;
    if (after != course.begin()) h0 = (after - 1)->hour, p0 = (after - 1)->points;
    if (after != course.end()) h1 = after->hour, p1 = after->points;
    const double x = h1 > h0 ? std::clamp((hour - h0) / (h1 - h0), 0.0, 1.0) : 1.0;
    return p0 + x * (p1 - p0);
}

double GravityCurve::State::doubt_of_fall_since(double hour) const {
    const auto& course = curves.course();
    const auto after = std::ranges::lower_bound(course, hour, {}, &Course::hour);
    if (course.empty() || after == course.end()) return 0.0;
    return after->sigma_of_fall_since;
}

GravityCurve::GravityCurve(GravityPrior prior, Timestamp pitched)
    : state_{std::make_unique<State>(std::move(prior), pitched)} {
    state_->look();
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
        const double foreseen = s.sensor_then + s.sensor_per_hour * (s.present.hour - s.looked_h);
        s.record.take({s.present.hour, s.present.thermal, points_of(bin->median_sg), bin->count},
                      s.has_looked ? foreseen : 0.0, std::max(0.0, -s.sensor_per_hour));
    }
    if (s.present.hour < s.closed_h + 1.0 - 1e-6) return;
    s.closed_h = s.present.hour;
    s.record.close_hour(s.present.hour);
    if (s.present.hour >= s.looked_h + s.look_every_h() - 1e-6) s.look();
}

void GravityCurve::measure(Timestamp at, double sg, double sigma) {
    State& s = *state_;
    if (!is_gravity(sg) || !is_sigma(sigma)) return;
    if (at > s.at) s.pass_time(at, {});
    const double hour = base::hours_between(s.pitched, at);
    if (hour < s.present.hour - 24.0) return;
    s.hands.push_back({hour, s.thermal_at(hour), points_of(sg), 1e6 * sigma * sigma});
    s.look();
}

void GravityCurve::set_original_gravity(std::optional<double> sg, double sigma) {
    State& s = *state_;
    s.prior.original_gravity = sg;
    s.prior.original_gravity_sigma = sigma;
    s.prior = without_nonsense(s.prior);
    s.curves.set_prior(s.prior);
    s.look();
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

std::optional<Estimate> GravityCurve::co2_produced_volumes(Timestamp from, Timestamp to) const {
    const State& s = *state_;
    if (!s.has_looked) return std::nullopt;
    const auto hour = [&](Timestamp t) {
        return std::clamp(base::hours_between(s.pitched, t), 0.0, s.present.hour);
    };
    const double original =
        spread_of(s.curves.outlooks(), [](const Outlook& o) { return sg_of(o.original); }).value;
    const double before = s.course_at(hour(from));
    const double after = s.course_at(hour(to));
    const double sigma = std::abs(s.doubt_of_fall_since(hour(from)) - s.doubt_of_fall_since(hour(to)));
    const auto volumes = [&](double fall) {
        return brewing::co2_volumes_from_drop({original, sg_of(before), sg_of(before - fall)});
    };
    const double fall = before - after;
    return Estimate{volumes(fall), volumes(fall - 1.645 * sigma), volumes(fall + 1.645 * sigma)};
}

std::optional<Estimate> GravityCurve::co2_volumes_per_hour() const {
    const State& s = *state_;
    if (!s.has_looked) return std::nullopt;
    return spread_of(s.curves.outlooks(), [](const Outlook& o) {
        return brewing::co2_volumes_from_drop(
            {sg_of(o.original), sg_of(o.now), sg_of(o.now + o.per_day / 24.0)});
    });
}

std::optional<Estimate> GravityCurve::residual_co2_potential() const {
    const auto found = state_->estimates.find(Quantity::residual_co2_potential);
    if (found == state_->estimates.end()) return std::nullopt;
    return found->second;
}

std::optional<LearnedCurve> GravityCurve::learned() const {
    const State& s = *state_;
    if (!s.judge.is_finished()) return std::nullopt;
    const ShapeVector mean = s.curves.mean_shape();
    const ShapeMatrix covariance = s.curves.shape_covariance();
    LearnedCurve learned;
    learned.edition = learned_edition;
    learned.batches = (s.prior.learned ? s.prior.learned->batches : 0) + 1;
    for (int i = 0; i < place::learnt; ++i) learned.mean.push_back(mean[i]);
    // Batches differ: the next one will not repeat this one's posterior, so its doubt is widened.
    GravityPrior unlearned;
    unlearned.culture = s.prior.culture;
    const ShapeBelief ordinary = shape_belief(unlearned);
    const ShapeMatrix usual = ordinary.root * ordinary.root.transpose();
    const double between_batches = 0.15 + 0.5 / learned.batches;
    for (int i = 0; i < place::learnt; ++i)
        for (int j = 0; j < place::learnt; ++j)
            learned.covariance.push_back(covariance(i, j) + (i == j ? between_batches * usual(i, j) : 0.0));
    return learned;
}

}  // namespace gyled::estimation
