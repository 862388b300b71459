#include "daemon/estimation/trend/heat_balance.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "daemon/brewing/brew_day.hpp"
#include "daemon/brewing/water.hpp"
#include "daemon/estimation/statistics/line.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"
#include "daemon/estimation/trend/parameters.hpp"

namespace gyled::estimation::trend {
namespace {

constexpr HeatBalanceParameters parameters;
constexpr double infinity = std::numeric_limits<double>::infinity();

/// Middles of seven equally likely slices of a standard normal.
constexpr std::array normal_slices{-1.465, -0.792, -0.366, 0.0, 0.366, 0.792, 1.465};

/// Of water at 20 degC.
constexpr double wh_per_litre_k =
    brewing::water_density_at_20_c / 1000.0 * brewing::water_specific_heat_kj_per_kg_k / 3.6;

/// Wh/K, the vessel's own metal included.
double heat_capacity(double litres) {
    return litres * wh_per_litre_k + parameters.vessel_wh_per_k;
}

double vapour_kpa(double celsius) {
    return brewing::saturation_pressure(celsius).kpa_absolute();
}

/// Temperatures from now's to the target's, and the vapour over each: Simpson's rule takes them in pairs.
struct Path {
    static constexpr std::size_t steps = 16;
    Path(double from_c, double to_c) : step_c{(to_c - from_c) / steps} {
        for (std::size_t i = 0; i <= steps; ++i) {
            celsius[i] = from_c + static_cast<double>(i) * step_c;
            vapour[i] = vapour_kpa(celsius[i]);
        }
    }
    /// The integral of 1 / rate over the path, hours; infinite where the rate ends or turns before its end.
    template <class Rate>
    [[nodiscard]] double hours(Rate rate) const {
        double sum = 0;
        for (std::size_t i = 0; i <= steps; ++i) {
            const double at = rate(celsius[i], vapour[i]);
            if (!(at * step_c > 0)) return infinity;
            const double share = i == 0 || i == steps ? 1 : i % 2 == 1 ? 4 : 2;
            sum += share / at;
        }
        return sum * step_c / 3;
    }
    double step_c;
    std::array<double, steps + 1> celsius{}, vapour{};
};

}  // namespace

double HeatBalance::Curve::loss(double celsius, double vapour_kpa) const {
    return wall * celsius + steam * vapour_kpa;
}

double HeatBalance::Curve::heater_w() const {
    return (line.slope - wall * parameters.room_c) * wh_per_k;
}

std::vector<HeatBalance::Curve> HeatBalance::thinkable(bool warms, double litres) {
    std::vector<Curve> out;
    if (!warms) {
        for (double wall = parameters.cooling_min_per_h; wall < parameters.cooling_max_per_h;
             wall *= parameters.cooling_step)
            out.push_back({.wall = wall});
        return out;
    }
    const bool known = litres > 0;
    for (const double usual : parameters.usual_litres) {
        const double wh_per_k = heat_capacity(known ? litres : usual);
        for (const double wall : parameters.wall_w_per_k)
            for (const double open : parameters.open_m2)
                out.push_back({.wall = wall / wh_per_k,
                               .steam = open * parameters.steam_w_per_m2_kpa / wh_per_k,
                               .wh_per_k = wh_per_k});
        if (known) break;
    }
    return out;
}

/// What was lost since is given back to each reading: a steady power leaves a straight line.
std::vector<double> HeatBalance::given_back(const Curve& curve, std::span<const Seen> seen,
                                            std::span<const double> vapour) {
    std::vector<double> celsius(seen.size());
    double lost_since = 0, loss_after = 0;
    for (std::size_t i = seen.size(); i-- > 0;) {
        const double loss = curve.loss(seen[i].celsius, vapour[i]);
        if (i + 1 < seen.size())
            lost_since += (loss + loss_after) / 2 * (seen[i].hours_ago - seen[i + 1].hours_ago);
        loss_after = loss;
        celsius[i] = seen[i].celsius - lost_since;
    }
    return celsius;
}

double HeatBalance::log_belief_in_loss(std::size_t curve) const {
    const auto& losses = known_.learned.losses;
    const bool counts = curves_[curve].wh_per_k > 0 && known_.litres > 0 && losses.size() == curves_.size();
    return counts ? std::log(losses[curve]) : 0;
}

/// Does the heater give what it would have to, for the litres that were told?
double HeatBalance::log_belief_in_heater(std::size_t curve) const {
    const LearnedHeat& learned = known_.learned;
    const bool is_learned = learned.heater_kw > 0;
    const double kw = is_learned ? learned.heater_kw : parameters.supply_share * known_.heater_kw.value_or(0);
    if (!(curves_[curve].wh_per_k > 0) || !(known_.litres > 0) || !(kw > 0)) return 0;
    const double sigma = is_learned ? std::hypot(learned.log_sigma, parameters.fill_again_sigma)
                                    : std::hypot(parameters.supply_sigma, parameters.fill_sigma);
    const double off = std::log(std::max(curves_[curve].heater_w(), 1.0) / (1000 * kw)) / sigma;
    return -off * off / 2;
}

std::optional<HeatBalance> HeatBalance::of(std::span<const Seen> seen, double noise_c, bool warms,
                                           const HeatKnowledge& known) {
    std::vector<double> hours, vapour, log_weights;
    for (const Seen& one : seen) hours.push_back(-one.hours_ago), vapour.push_back(vapour_kpa(one.celsius));
    HeatBalance out;
    out.known_ = known;
    out.curves_ = thinkable(warms, known.litres);
    for (Curve& curve : out.curves_) {
        const auto line = statistics::fit_line(hours, given_back(curve, seen, vapour));
        if (!line) return std::nullopt;
        curve.line = *line;
        for (const double one : hours) curve.middle_h += one / static_cast<double>(hours.size());
        const double rate = line->slope - curve.loss(seen.back().celsius, vapour.back());
        curve.power_sigma = std::hypot(noise_c / std::sqrt(line->spread), parameters.power_sigma * rate);
        log_weights.push_back(-line->squares / (2 * noise_c * noise_c));
    }
    for (std::size_t i = 0; i < log_weights.size(); ++i) log_weights[i] += out.log_belief_in_loss(i);
    const auto blind = statistics::weights_from_logs(log_weights);
    for (std::size_t i = 0; i < log_weights.size(); ++i) log_weights[i] += out.log_belief_in_heater(i);
    const auto weights = statistics::weights_from_logs(log_weights);
    for (std::size_t i = 0; i < weights.size(); ++i)
        out.curves_[i].weight = weights[i], out.curves_[i].weight_blind = blind[i];
    const Curve& likeliest = out.likeliest();
    out.off_ = given_back(likeliest, seen, vapour);
    for (std::size_t i = 0; i < seen.size(); ++i) out.off_[i] -= likeliest.line.at(hours[i]);
    return out;
}

const HeatBalance::Curve& HeatBalance::likeliest() const {
    return *std::max_element(curves_.begin(), curves_.end(),
                             [](const Curve& a, const Curve& b) { return a.weight < b.weight; });
}

std::optional<base::Estimate> HeatBalance::hours_to(double target_c) const {
    const Path path{now_c(), target_c};
    std::vector<statistics::Weighted> sample;
    for (const Curve& curve : curves_)
        for (const double z : normal_slices) {
            const double power = curve.line.slope + z * curve.power_sigma;
            const auto rate = [&](double celsius, double vapour) {
                return power - curve.loss(celsius, vapour);
            };
            // The path begins at the likeliest curve's present; this one's is near it.
            const double nearer =
                (curve.now_c(power) - path.celsius[0]) / rate(path.celsius[0], path.vapour[0]);
            sample.push_back({path.hours(rate) - nearer, curve.weight});
        }
    const auto hours = statistics::median_and_90_percent(sample);
    return hours.value < infinity ? std::optional{hours} : std::nullopt;
}

/// Where Newton's law has nothing left to give: p = k T.
std::optional<base::Estimate> HeatBalance::levels_off_c() const {
    std::vector<statistics::Weighted> sample;
    for (const Curve& curve : curves_) {
        if (curve.wh_per_k > 0 || !(curve.wall > 0)) return std::nullopt;
        for (const double z : normal_slices)
            sample.push_back({(curve.line.slope + z * curve.power_sigma) / curve.wall, curve.weight});
    }
    return statistics::median_and_90_percent(sample);
}

/// C = (P - loss) / rate, now; the losses of the wall are against the room.
std::optional<base::Estimate> HeatBalance::litres_under(double heater_kw) const {
    const double vapour = vapour_kpa(now_c());
    std::vector<statistics::Weighted> sample;
    for (const Curve& curve : curves_) {
        const double rate = curve.line.slope - curve.loss(now_c(), vapour);
        if (!(rate > 0) || !(curve.wh_per_k > 0)) return std::nullopt;
        const double loss_w = curve.loss(now_c() - parameters.room_c, vapour) * curve.wh_per_k;
        for (const double z : normal_slices) {
            const double power_w = 1000 * heater_kw * (parameters.supply_share + z * parameters.supply_sigma);
            const double wh_per_k = (power_w - loss_w) / rate;
            sample.push_back({std::max(0.0, (wh_per_k - parameters.vessel_wh_per_k) / wh_per_litre_k),
                              curve.weight_blind});
        }
    }
    return statistics::median_and_90_percent(sample);
}

LearnedHeat HeatBalance::taught() const {
    LearnedHeat out = known_.learned;
    if (!(known_.litres > 0) || !(curves_.front().wh_per_k > 0)) return out;
    const double like_any = parameters.forgotten_share / static_cast<double>(curves_.size());
    const double vapour = vapour_kpa(parameters.told_at_c);
    std::vector<statistics::Weighted> losses;
    double log_kw = 0, variance = 0;
    out.losses.clear();
    for (const Curve& curve : curves_) {
        out.losses.push_back((1 - parameters.forgotten_share) * curve.weight + like_any);
        const double lost_w = curve.loss(parameters.told_at_c - parameters.room_c, vapour) * curve.wh_per_k;
        losses.push_back({lost_w / (parameters.told_at_c - parameters.room_c), curve.weight});
        log_kw += curve.weight * std::log(std::max(curve.heater_w(), 1.0) / 1000);
    }
    for (const Curve& curve : curves_)
        variance += curve.weight * std::pow(std::log(std::max(curve.heater_w(), 1.0) / 1000) - log_kw, 2);
    // The curves were weighed with what was known of the heater, so this is the posterior; the next day has
    // mains of its own.
    out.heater_kw = std::exp(log_kw);
    out.log_sigma = std::hypot(std::sqrt(variance), parameters.mains_by_day);
    out.loss_w_per_k = statistics::median_and_90_percent(losses).value;
    ++out.heat_ups;
    return out;
}

}  // namespace gyled::estimation::trend
