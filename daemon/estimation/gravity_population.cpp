#include "daemon/estimation/gravity_population.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace gyled::estimation {
namespace {

constexpr double wander_h = 18.0;         ///< correlation time of what the curve cannot explain
constexpr double forever_h = 8.0 * 24.0;  ///< a stalled batch ends where it is by then

std::uint64_t scramble(std::uint64_t z) {  // SplitMix64 (Steele, Lea and Flood 2014)
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}
double as_fraction(std::uint64_t bits) {
    return static_cast<double>(bits >> 11) * 0x1.0p-53;
}
double as_normal(double a, double b) {
    return std::sqrt(-2.0 * std::log(1.0 - a)) * std::cos(2.0 * std::numbers::pi * b);
}

/// The same chances at each look, so that answers do not flicker from hour to hour.
struct Chances {
    std::array<std::array<double, height::count + 1>, 1024> normals;
    std::array<std::array<double, 3>, 1024> fractions;
};
const Chances& chances() {
    static const Chances fixed = [] {
        Chances c{};
        std::uint64_t state = 20;
        const auto fraction = [&] { return as_fraction(scramble(state += 0x9E3779B97F4A7C15ULL)); };
        for (auto& row : c.normals)
            for (double& x : row) {
                const double a = fraction();
                x = as_normal(a, fraction());
            }
        for (auto& row : c.fractions)
            for (double& x : row) x = fraction();
        return c;
    }();
    return fixed;
}

double log_sum(const std::array<double, 8>& values, std::size_t n) {
    double most = values[0];
    for (std::size_t i = 1; i < n; ++i) most = std::max(most, values[i]);
    double sum = 0;
    for (std::size_t i = 0; i < n; ++i) sum += std::exp(values[i] - most);
    return most + std::log(sum);
}

}  // namespace

std::uint64_t CurvePopulation::next() {
    return scramble(random_ += 0x9E3779B97F4A7C15ULL);
}
double CurvePopulation::fraction() {
    return as_fraction(next());
}
double CurvePopulation::normal() {
    const double a = fraction();
    return as_normal(a, fraction());
}

CurvePopulation::CurvePopulation(const GravityPrior& prior)
    : shapes_{shape_belief(prior)}, heights_{height_beliefs(prior, false)}, prior_{prior}, members_(size) {
    for (Member& member : members_) {
        ShapeVector z;
        for (int i = 0; i < place::count; ++i) z[i] = normal();
        member.shape = shapes_.mean + shapes_.root * z;
        member.log_density = shapes_.log_density(member.shape);
    }
}

void CurvePopulation::set_prior(const GravityPrior& prior) {
    prior_ = prior;
    heights_ = height_beliefs(prior, turns_.crept_h.has_value());
}

/// How likely each way of the world makes the readings, the heights integrated out.
std::array<double, 8> CurvePopulation::log_ways(const HeightSums& sums) const {
    std::array<double, 8> ways{};
    for (std::size_t w = 0; w < heights_.size(); ++w) {
        const HeightBelief& belief = heights_[w];
        const Eigen::LLT<HeightMatrix> root{HeightMatrix{sums.precision + belief.precision}};
        HeightVector z = sums.information + belief.information;
        root.matrixL().solveInPlace(z);
        double product = 1.0;
        for (int i = 0; i < height::count; ++i) product *= root.matrixLLT()(i, i);
        ways[w] = belief.log_weight - std::log(product) + 0.5 * z.squaredNorm();
    }
    return ways;
}

double CurvePopulation::log_likelihood(const HeightSums& sums) const {
    return sums.rest + log_sum(log_ways(sums), heights_.size());
}

double CurvePopulation::log_density(const ShapeVector& shape, const GravityEvidence& evidence) const {
    const double density = shapes_.log_density(shape) + log_likelihood(height_sums(shape, evidence));
    return std::isfinite(density) ? density : -1e300;
}

/// The size of the wander: the mean of a few sizes, weighted by how well each explains the readings about the
/// likeliest curve. Large wanders are held to be less likely beforehand.
void CurvePopulation::choose_wander(const std::vector<GravityPoint>& points,
                                    const std::vector<HandPoint>& hands, const Present& present,
                                    const Turns& turns) {
    const Member& best = *std::ranges::max_element(members_, {}, &Member::log_density);
    constexpr std::array<double, 5> sizes{0.12, 0.25, 0.5, 1.0, 2.0};
    constexpr std::array<double, 5> beforehand{0.0, 0.0, -0.5, -2.0, -4.0};
    std::array<double, 8> fit{};
    for (std::size_t i = 0; i < sizes.size(); ++i)
        fit[i] = beforehand[i] + log_likelihood(height_sums(
                                     best.shape, GravityEvidence{points, hands, present, turns,
                                                                 prior_.culture, sizes[i], surprise_}));
    const double all = log_sum(fit, sizes.size());
    double mean = 0;
    for (std::size_t i = 0; i < sizes.size(); ++i) mean += std::exp(fit[i] - all) * std::log(sizes[i]);
    wander_ = std::exp(0.8 * std::log(wander_) + 0.2 * mean);
}

void CurvePopulation::reweigh(const GravityEvidence& evidence) {
    std::vector<double> logs(size);
    double most = -1e300;
    for (std::size_t i = 0; i < size; ++i) {
        Member& member = members_[i];
        const double density = log_density(member.shape, evidence);
        logs[i] = std::log(member.weight + 1e-300) + density - member.log_density;
        member.log_density = density;
        most = std::max(most, logs[i]);
    }
    const auto effective = [&](double sharpness) {
        double sum = 0;
        double squares = 0;
        for (std::size_t i = 0; i < size; ++i) {
            const double w = std::exp(sharpness * (logs[i] - most));
            members_[i].weight = w;
            sum += w;
            squares += w * w;
        }
        for (Member& member : members_) member.weight /= sum;
        return sum * sum / squares;
    };
    double sharpness = 1.0;
    double left = effective(sharpness);
    // A surprise: soften it, or a handful of members would be all that is left; the moves do the rest.
    while (left < 0.25 * size && sharpness > 0.01) left = effective(sharpness *= 0.7);
    if (left < 0.6 * size) resample();
}

void CurvePopulation::resample() {
    std::vector<Member> chosen;
    chosen.reserve(size);
    double cumulative = members_[0].weight;
    std::size_t at = 0;
    const double offset = fraction();
    for (std::size_t i = 0; i < size; ++i) {
        const double mark = (static_cast<double>(i) + offset) / static_cast<double>(size);
        while (cumulative < mark && at + 1 < size) cumulative += members_[++at].weight;
        chosen.push_back(members_[at]);
        chosen.back().weight = 1.0 / static_cast<double>(size);
    }
    members_ = std::move(chosen);
}

std::vector<int> CurvePopulation::places(const Turns& turns) const {
    std::vector<int> used;
    const bool mixed = prior_.culture == base::Culture::mixed;
    for (int i = 0; i < place::learnt; ++i) {
        const bool second = i == place::log_second_rate || i == place::log_second_odds;
        if (second == mixed || (!second && i != place::log_slow)) used.push_back(i);
    }
    if (turns.stalled_h) used.insert(used.end(), {place::log_stall_activity, place::stall_when});
    if (turns.woke_h) used.insert(used.end(), {place::log_wake_activity, place::log_wake_lag});
    if (turns.crept_h) used.insert(used.end(), {place::log_creep_rate, place::creep_when});
    return used;
}

/// Differential evolution (ter Braak 2006): a member tries a step along the line between two others, in all
/// places or in a few.
void CurvePopulation::move(const GravityEvidence& evidence) {
    const std::vector<int> used = places(evidence.turns);
    for (std::size_t i = 0; i < size; ++i) {
        const std::size_t a = next() % size;
        const std::size_t b = next() % size;
        if (a == b || a == i || b == i) continue;
        const bool all = fraction() < 0.5;
        ShapeVector shape = members_[i].shape;
        std::array<int, place::count> chosen{};
        int count = 0;
        for (const int at : used)
            if (all || fraction() < 0.3) chosen[static_cast<std::size_t>(count++)] = at;
        if (count == 0) chosen[static_cast<std::size_t>(count++)] = used[next() % used.size()];
        const double stride = fraction() < 0.1 ? 1.0 : 2.38 / std::sqrt(2.0 * count);
        for (int k = 0; k < count; ++k) {
            const int at = chosen[static_cast<std::size_t>(k)];
            shape[at] += stride * (members_[a].shape[at] - members_[b].shape[at]) +
                         0.02 * shapes_.root(at, at) * normal();
        }
        const double density = log_density(shape, evidence);
        if (std::log(1.0 - fraction()) < density - members_[i].log_density) {
            members_[i].shape = shape;
            members_[i].log_density = density;
        }
    }
}

/// Noise has heavy tails: a point far off the likeliest curve counts for less.
void CurvePopulation::doubt_outliers(const std::vector<GravityPoint>& points,
                                     const std::vector<HandPoint>& hands, const Present& present,
                                     const Turns& turns) {
    surprise_.clear();
    const GravityEvidence plain{points, hands, present, turns, prior_.culture, wander_, surprise_};
    const Member& best = *std::ranges::max_element(members_, {}, &Member::log_density);
    const HeightSums normal_equations = height_sums(best.shape, plain);
    const HeightBelief& belief = heights_[1];
    const Eigen::LLT<HeightMatrix> root{HeightMatrix{normal_equations.precision + belief.precision}};
    const HeightVector heights = root.solve(normal_equations.information + belief.information);
    const GravityShape curve{shape_parameters(best.shape, prior_.culture)};
    const BatchClock clock = plain.clock(best.shape);
    const Creep creep = plain.creep(best.shape, clock);
    double off = 0;
    std::size_t hint = 0;
    surprise_.assign(points.size(), 1.0);
    for (std::size_t i = 0; i < points.size(); ++i) {
        const double thermal_h = clock.at(points[i].thermal);
        const Fermented gone = curve.at(thermal_h, hint);
        const double expected = heights[height::original] - heights[height::main] * gone.main -
                                heights[height::slow] * gone.slow -
                                heights[height::creep] * creep.at(thermal_h) + heights[height::bias] +
                                heights[height::drift] * points[i].hour / 24.0;
        const double innovation = points[i].points - expected - off;
        const double z = innovation * plain.rows[i].sharpness;
        surprise_[i] = std::max(1.0, z * z / 6.0);
        const double trust = plain.rows[i].gain / (surprise_[i] > 1.0 ? surprise_[i] : 1.0);
        off = plain.rows[i].keep * (off + trust * innovation);
    }
}

void CurvePopulation::follow(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                             const Present& present, const Turns& turns, int moves) {
    if (turns != turns_) {
        // What happens from the turn on is unknown: drawn afresh, then learnt.
        const auto is_new = [&](int at) {
            if (at == place::log_stall_activity || at == place::stall_when)
                return turns.stalled_h != turns_.stalled_h;
            if (at == place::log_wake_activity || at == place::log_wake_lag)
                return turns.woke_h != turns_.woke_h;
            return turns.crept_h != turns_.crept_h;
        };
        for (Member& member : members_) {
            member.log_density -= shapes_.log_density(member.shape);
            for (int at = place::learnt; at < place::count; ++at)
                if (is_new(at)) member.shape[at] = shapes_.mean[at] + shapes_.root(at, at) * normal();
            member.log_density += shapes_.log_density(member.shape);
        }
        heights_ = height_beliefs(prior_, turns.crept_h.has_value());
        moves += 6;
        turns_ = turns;
    }
    doubt_outliers(points, hands, present, turns);
    choose_wander(points, hands, present, turns);
    const GravityEvidence evidence{points, hands, present, turns, prior_.culture, wander_, surprise_};
    reweigh(evidence);
    for (int i = 0; i < moves; ++i) move(evidence);
    look_out(evidence);
}

/// One member with one draw of its heights: a world that may be ours.
struct CurvePopulation::World {
    const GravityEvidence& evidence;
    const GravityShape& curve;
    const BatchClock& clock;
    const Creep& creep;
    HeightVector heights;

    [[nodiscard]] double gravity(double thermal_h, std::size_t& hint) const {
        const Fermented gone = curve.at(thermal_h, hint);
        return heights[height::original] - heights[height::main] * gone.main -
               heights[height::slow] * gone.slow - heights[height::creep] * creep.at(thermal_h);
    }
    [[nodiscard]] double gravity(double thermal_h) const {
        std::size_t hint = 0;
        return gravity(thermal_h, hint);
    }
    /// When half a point is left, by the clock of this world.
    [[nodiscard]] double finish_thermal_h() const {
        const double finish = curve.thermal_h_when_left(heights[height::main], heights[height::slow], 0.5);
        if (!evidence.turns.crept_h || heights[height::creep] <= 0.5) return finish;
        return std::max(finish, creep.from_thermal_h + std::log(heights[height::creep] / 0.5) / creep.per_h);
    }
    /// What the readings say beyond curve, bias and drift, at present.
    [[nodiscard]] double wander(const HeightSums& s, double chance) const {
        const GravityEvidence& e = evidence;
        return e.end_y - (heights[height::original] + heights[height::bias]) * e.end_one -
               heights[height::drift] * e.end_day + heights[height::main] * s.end_main +
               heights[height::slow] * s.end_slow + heights[height::creep] * s.end_creep +
               std::sqrt(e.end_variance) * chance;
    }
};

/// Draws the heights that go with a shape: first the way of the world, then from its normal posterior. Sugar
/// that would come back is drawn again.
HeightVector CurvePopulation::draw_heights(const HeightSums& s, const std::array<double, 8>& ways,
                                           std::size_t k) const {
    const double all = log_sum(ways, heights_.size());
    std::size_t way = 0;
    for (double left = chances().fractions[k][0] - std::exp(ways[0] - all);
         left > 0 && way + 1 < heights_.size(); left -= std::exp(ways[way] - all))
        ++way;
    const Eigen::LLT<HeightMatrix> root{HeightMatrix{s.precision + heights_[way].precision}};
    const HeightVector middle = root.solve(s.information + heights_[way].information);
    HeightVector heights = middle;
    for (std::size_t attempt = 0; attempt < 4; ++attempt) {
        HeightVector z;
        for (int i = 0; i < height::count; ++i)
            z[i] = chances().normals[(k + 256 * attempt) % 1024][static_cast<std::size_t>(i)];
        heights = middle + root.matrixU().solve(z);
        if (heights[height::slow] >= 0 && heights[height::main] >= 0 && heights[height::creep] >= -0.01)
            break;
        heights[height::slow] = std::max(0.0, heights[height::slow]);
        heights[height::creep] = std::max(0.0, heights[height::creep]);
    }
    return heights;
}

/// What a world looks like at present, and where it is heading. `k` numbers its chances.
Outlook CurvePopulation::outlook_of(const World& world, const HeightSums& s, std::size_t k) const {
    const Present& present = world.evidence.present;
    const HeightVector& heights = world.heights;
    const BatchClock& clock = world.clock;
    const auto& chance = chances().fractions[k];
    Outlook o;
    o.original = heights[height::original];
    o.thermal_per_hour = clock.mix.at(present.speed);
    const double thermal_h = clock.at(present.thermal);
    const bool stalled = thermal_h > clock.stalled_h;
    const double pace = thermal_h > clock.woken_h ? clock.woken_activity : 1.0;
    // What has stalled may still be roused, by warmth or by hand: one time in twelve, say.
    const double activity = !stalled ? pace : chance[2] < 0.08 ? 0.7 : clock.activity;
    const double step_h = std::max(0.0, activity * o.thermal_per_hour);

    // The truth runs ahead of what the sensor shows.
    const double lift_h =
        present.lift_h + (0.15 + 0.5 * present.lift_h) * chances().normals[(k + 512) % 1024][0];
    const double true_h = thermal_h + std::max(0.0, lift_h) * step_h;
    const double on_curve = world.gravity(true_h);
    // The wander has a slope too, and no curve of ours is nature's own: a tenth of doubt.
    const double doubt = std::max(0.0, 1.0 + 0.10 * chances().normals[(k + 768) % 1024][1]);
    o.per_day = doubt * 24.0 * (world.gravity(true_h + step_h) - on_curve);
    o.fall_12h = on_curve - world.gravity(true_h + 12.0 * activity);

    // While much happens, the curve is as likely wrong as the sensor; at rest it is the sensor that wanders.
    const double wander = world.wander(s, chances().normals[k][height::count]);
    o.now = on_curve + chance[1] * std::min(1.0, std::abs(o.per_day) / 3.0) * wander;
    o.sensor = world.gravity(thermal_h) + wander + heights[height::bias] +
               heights[height::drift] * present.hour / 24.0;

    if (stalled) {
        o.final = world.gravity(true_h + activity * std::max(o.thermal_per_hour, 0.1) * forever_h);
        o.wait_h = GravityShape::never;
    } else {
        o.final = heights[height::original] - heights[height::main] - heights[height::slow] -
                  heights[height::creep];
        o.wait_h = (world.finish_thermal_h() - true_h) / pace;
    }
    return o;
}

void CurvePopulation::look_out(const GravityEvidence& e) {
    const std::vector<GravityPoint>& points = *e.points;
    std::vector<double> level(points.size(), 0.0), mean(points.size(), 0.0), square(points.size(), 0.0);
    double weights = 0;
    outlooks_.clear();
    outlooks_.reserve(size * draws_each);
    for (std::size_t m = 0; m < size; ++m) {
        const Member& member = members_[m];
        const HeightSums s = height_sums(member.shape, e);
        const GravityShape curve{shape_parameters(member.shape, prior_.culture)};
        const BatchClock clock = e.clock(member.shape);
        const Creep creep = e.creep(member.shape, clock);
        const std::array<double, 8> ways = log_ways(s);
        for (std::size_t draw = 0; draw < draws_each; ++draw) {
            const std::size_t k = m * draws_each + draw;
            const World world{e, curve, clock, creep, draw_heights(s, ways, k)};
            Outlook o = outlook_of(world, s, k);
            o.member = m;
            o.weight = member.weight / draws_each;
            outlooks_.push_back(o);
            if (draw > 0 || m % 4 != 0) continue;  // for the course, some will do
            const double now = world.gravity(clock.at(e.present.thermal) + e.present.lift_h);
            weights += member.weight;
            std::size_t hint = 0;
            for (std::size_t i = 0; i < points.size(); ++i) {
                const double then = world.gravity(clock.at(points[i].thermal) + e.present.lift_h, hint);
                level[i] += member.weight * then;
                mean[i] += member.weight * (then - now);
                square[i] += member.weight * (then - now) * (then - now);
            }
        }
    }
    course_.clear();
    for (std::size_t i = 0; i < points.size(); ++i) {
        const double fall = mean[i] / weights;
        course_.push_back({points[i].hour, level[i] / weights,
                           std::sqrt(std::max(0.0, square[i] / weights - fall * fall))});
    }
}

ShapeVector CurvePopulation::mean_shape() const {
    ShapeVector mean = ShapeVector::Zero();
    for (const Member& member : members_) mean += member.weight * member.shape;
    return mean;
}

ShapeMatrix CurvePopulation::shape_covariance() const {
    const ShapeVector mean = mean_shape();
    ShapeMatrix covariance = ShapeMatrix::Zero();
    for (const Member& member : members_)
        covariance += member.weight * (member.shape - mean) * (member.shape - mean).transpose();
    return covariance;
}

}  // namespace gyled::estimation
