#include "daemon/estimation/gravity/evidence.hpp"

#include <algorithm>

#include "daemon/estimation/gravity/parameters.hpp"

namespace gyled::estimation::gravity {
namespace {

constexpr RandomWalkParameters random_walk;
constexpr ClockParameters bounds;

ThermalTime between(double h0, const ThermalTime& t0, double h1, const ThermalTime& t1, double hour) {
    if (h1 <= h0) return t0;
    const double x = std::clamp((hour - h0) / (h1 - h0), 0.0, 1.0);
    return (1.0 - x) * t0 + x * t1;
}

}  // namespace

GravityEvidence::GravityEvidence(const std::vector<GravityPoint>& record,
                                 const std::vector<HandPoint>& by_hand, const Present& now,
                                 const ChangePoints& turned, base::Culture kind, double random_walk_sigma,
                                 const std::vector<double>& noisier)
    : points{&record}, hands{&by_hand}, present{now}, change_points{turned}, culture{kind} {
    rows.reserve(record.size());
    const double most = random_walk_sigma * random_walk_sigma;
    double variance = most;
    for (std::size_t i = 0; i < record.size(); ++i) {
        const GravityPoint& point = record[i];
        const double inflation = noisier.empty() ? 1.0 : noisier[i];
        const double innovation = variance + point.variance * inflation;
        const double gain = variance / innovation;
        const double until = i + 1 < record.size() ? record[i + 1].hour : std::max(present.hour, point.hour);
        const double keep = std::exp(-(until - point.hour) / random_walk.correlation_h);
        const double inverse_sigma = 1.0 / std::sqrt(innovation);
        const double day = point.hour / hours_per_day;
        const double one = 1.0 - end_one;
        const double days = day - end_day;
        const double reading = point.points - end_y;
        rows.push_back({point.thermal, gain, keep, inverse_sigma, one * inverse_sigma, days * inverse_sigma,
                        reading * inverse_sigma});
        end_one = keep * (end_one + gain * one);
        end_day = keep * (end_day + gain * days);
        end_y = keep * (end_y + gain * reading);
        variance = keep * keep * variance * (1.0 - gain) + most * (1.0 - keep * keep);
        const WhitenedRow& row = rows.back();
        one_one += row.one * row.one;
        one_day += row.one * row.day;
        day_day += row.day * row.day;
        one_y += row.one * row.reading;
        day_y += row.day * row.reading;
        yy += row.reading * row.reading;
        log_inverse_sigma += std::log(inverse_sigma);
    }
    end_variance = variance;
}

ThermalTime GravityEvidence::thermal_at(double hour) const {
    double before_h = 0;
    ThermalTime before;
    for (const GravityPoint& point : *points) {
        if (point.hour >= hour) return between(before_h, before, point.hour, point.thermal, hour);
        before_h = point.hour;
        before = point.thermal;
    }
    return between(before_h, before, present.hour, present.thermal, hour);
}

BatchClock GravityEvidence::clock(const ShapeVector& shape) const {
    BatchClock clock{.mix = thermal_mix(shape)};
    if (change_points.woke_h) {
        clock.woken_h = clock.at(thermal_at(*change_points.woke_h));
        clock.lag_h = std::exp(std::min(bounds.log_wake_lag_max, shape[index::log_wake_lag]));
        clock.woken_activity = std::min(bounds.wake_activity_max, std::exp(shape[index::log_wake_activity]));
    }
    if (change_points.stalled_h) {
        clock.stalled_h = clock.at(thermal_at(*change_points.stalled_h + shape[index::stall_when]));
        clock.activity = std::min(1.0, std::exp(shape[index::log_stall_activity]));
    }
    return clock;
}

Creep GravityEvidence::creep(const ShapeVector& shape, const BatchClock& clock) const {
    if (!change_points.crept_h) return {};
    return {clock.at(thermal_at(*change_points.crept_h + shape[index::creep_when])),
            std::exp(std::clamp(shape[index::log_creep_rate], bounds.log_creep_rate_min,
                                bounds.log_creep_rate_max))};
}

NormalEquations normal_equations(const ShapeVector& shape, Family family, const GravityEvidence& e) {
    const GravityShape curve{shape_parameters(shape, family, e.culture)};
    const BatchClock clock = e.clock(shape);
    const Creep late = e.creep(shape, clock);
    const bool creeps = e.change_points.crept_h.has_value();
    NormalEquations sums;
    double mm = 0, ms = 0, ss = 0, m1 = 0, md = 0, my = 0, s1 = 0, sd = 0, sy = 0;
    double cc = 0, cm = 0, cs = 0, c1 = 0, cd = 0, cy = 0;
    double fm = 0, fs = 0, fc = 0;
    std::size_t hint = 0;
    for (const WhitenedRow& row : e.rows) {
        const double thermal_h = clock.at(row.thermal);
        const Fermented gone = curve.at(thermal_h, hint);
        const double im = gone.main - fm;
        const double is = gone.slow - fs;
        fm = row.keep * (fm + row.gain * im);
        fs = row.keep * (fs + row.gain * is);
        const double m = im * row.inverse_sigma;
        const double s = is * row.inverse_sigma;
        mm += m * m;
        ms += m * s;
        ss += s * s;
        m1 += m * row.one;
        md += m * row.day;
        my += m * row.reading;
        s1 += s * row.one;
        sd += s * row.day;
        sy += s * row.reading;
        if (creeps) {
            const double ic = late.at(thermal_h) - fc;
            fc = row.keep * (fc + row.gain * ic);
            const double c = ic * row.inverse_sigma;
            cc += c * c;
            cm += c * m;
            cs += c * s;
            c1 += c * row.one;
            cd += c * row.day;
            cy += c * row.reading;
        }
    }
    sums.end_main = fm;
    sums.end_slow = fs;
    sums.end_creep = fc;
    using namespace linear;
    LinearMatrix& p = sums.precision;
    p(original, original) = p(bias, bias) = p(bias, original) = e.one_one;
    p(drift, original) = p(drift, bias) = e.one_day;
    p(drift, drift) = e.day_day;
    p(main, main) = mm;
    p(slow, slow) = ss;
    p(slow, main) = ms;
    p(main, original) = p(bias, main) = -m1;
    p(slow, original) = p(bias, slow) = -s1;
    p(drift, main) = -md;
    p(drift, slow) = -sd;
    p(creep, creep) = cc;
    p(creep, main) = cm;
    p(creep, slow) = cs;
    p(creep, original) = p(bias, creep) = -c1;
    p(drift, creep) = -cd;
    LinearVector& i = sums.information;
    i << e.one_y, -my, -sy, -cy, e.one_y, e.day_y;
    sums.rest = e.log_inverse_sigma - e.yy / 2;
    for (const HandPoint& hand : *e.hands) {
        const double thermal_h = clock.at(hand.thermal) + e.present.lift_h;
        const Fermented gone = curve.at(thermal_h);
        LinearVector row = LinearVector::Zero();
        row << 1.0, -gone.main, -gone.slow, -late.at(thermal_h), 0.0, 0.0;
        p.triangularView<Eigen::Lower>() += (1.0 / hand.variance) * row * row.transpose();
        i += (hand.points / hand.variance) * row;
        sums.rest -= hand.points * hand.points / hand.variance / 2;
    }
    return sums;
}

}  // namespace gyled::estimation::gravity
