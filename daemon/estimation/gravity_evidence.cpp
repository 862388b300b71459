#include "daemon/estimation/gravity_evidence.hpp"

#include <algorithm>

namespace gyled::estimation {
namespace {

constexpr double wander_h = 18.0;  ///< correlation time of what the curve cannot explain

ThermalTime between(double h0, const ThermalTime& t0, double h1, const ThermalTime& t1, double hour) {
    if (h1 <= h0) return t0;
    const double x = std::clamp((hour - h0) / (h1 - h0), 0.0, 1.0);
    return (1.0 - x) * t0 + x * t1;
}

}  // namespace

GravityEvidence::GravityEvidence(const std::vector<GravityPoint>& record,
                                 const std::vector<HandPoint>& by_hand, const Present& now,
                                 const Turns& turned, base::Culture kind, double wander,
                                 const std::vector<double>& noisier)
    : points{&record}, hands{&by_hand}, present{now}, turns{turned}, culture{kind} {
    rows.reserve(record.size());
    const double most = wander * wander;
    double variance = most;
    for (std::size_t i = 0; i < record.size(); ++i) {
        const GravityPoint& point = record[i];
        const double surprise = noisier.empty() ? 1.0 : noisier[i];
        const double innovation = variance + point.variance * surprise;
        const double gain = variance / innovation;
        const double until = i + 1 < record.size() ? record[i + 1].hour : std::max(present.hour, point.hour);
        const double keep = std::exp(-(until - point.hour) / wander_h);
        const double sharpness = 1.0 / std::sqrt(innovation);
        const double day = point.hour / 24.0;
        const double one = 1.0 - end_one;
        const double days = day - end_day;
        const double reading = point.points - end_y;
        rows.push_back(
            {point.thermal, gain, keep, sharpness, one * sharpness, days * sharpness, reading * sharpness});
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
        log_sharpness += std::log(sharpness);
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
    if (turns.woke_h) {
        clock.woken_h = clock.at(thermal_at(*turns.woke_h));
        clock.lag_h = std::exp(std::min(5.0, shape[place::log_wake_lag]));
        clock.woken_activity = std::min(2.0, std::exp(shape[place::log_wake_activity]));
    }
    if (turns.stalled_h) {
        clock.stalled_h = clock.at(thermal_at(*turns.stalled_h + shape[place::stall_when]));
        clock.activity = std::min(1.0, std::exp(shape[place::log_stall_activity]));
    }
    return clock;
}

Creep GravityEvidence::creep(const ShapeVector& shape, const BatchClock& clock) const {
    if (!turns.crept_h) return {};
    return {clock.at(thermal_at(*turns.crept_h + shape[place::creep_when])),
            std::exp(std::clamp(shape[place::log_creep_rate], -8.0, 0.0))};
}

HeightSums height_sums(const ShapeVector& shape, const GravityEvidence& e) {
    const GravityShape curve{shape_parameters(shape, e.culture)};
    const BatchClock clock = e.clock(shape);
    const Creep late = e.creep(shape, clock);
    const bool creeps = e.turns.crept_h.has_value();
    HeightSums sums;
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
        const double m = im * row.sharpness;
        const double s = is * row.sharpness;
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
            const double c = ic * row.sharpness;
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
    using namespace height;
    HeightMatrix& p = sums.precision;
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
    HeightVector& i = sums.information;
    i << e.one_y, -my, -sy, -cy, e.one_y, e.day_y;
    sums.rest = e.log_sharpness - 0.5 * e.yy;
    for (const HandPoint& hand : *e.hands) {
        const double thermal_h = clock.at(hand.thermal) + e.present.lift_h;
        const Fermented gone = curve.at(thermal_h);
        HeightVector row = HeightVector::Zero();
        row << 1.0, -gone.main, -gone.slow, -late.at(thermal_h), 0.0, 0.0;
        p.triangularView<Eigen::Lower>() += (1.0 / hand.variance) * row * row.transpose();
        i += (hand.points / hand.variance) * row;
        sums.rest -= 0.5 * hand.points * hand.points / hand.variance;
    }
    return sums;
}

}  // namespace gyled::estimation
