#include "daemon/estimation/gravity/population.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/estimation/gravity/parameters.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"

namespace gyled::estimation::gravity {
namespace {

constexpr PopulationParameters sampling;
constexpr RandomWalkParameters random_walk;
constexpr PredictionParameters predicting;
constexpr double impossible = -1e300;  // log density
constexpr double tiny = 1e-300;

/// Common random numbers: the same at each fit, so that answers do not flicker from hour to hour.
struct CommonRandomNumbers {
    static constexpr std::size_t rows = 1024;
    std::array<std::array<double, linear::count + 1>, rows> normals;
    std::array<std::array<double, 3>, rows> fractions;
};
const CommonRandomNumbers& common_random_numbers() {
    static const CommonRandomNumbers fixed = [] {
        CommonRandomNumbers c{};
        constexpr std::uint64_t seed =
            20;  // any would do; another one gives answers that differ by their noise
        statistics::Random random{seed};
        for (auto& row : c.normals)
            for (double& x : row) x = random.normal();
        for (auto& row : c.fractions)
            for (double& x : row) x = random.fraction();
        return c;
    }();
    return fixed;
}
/// Row `k` of the normals, `lane` of four: lanes share no row.
const auto& normals(std::size_t k, std::size_t lane) {
    constexpr std::size_t apart = CommonRandomNumbers::rows / 4;
    return common_random_numbers().normals[(k + lane * apart) % CommonRandomNumbers::rows];
}

double log_sum(const std::array<double, 8>& values, std::size_t n) {
    double most = values[0];
    for (std::size_t i = 1; i < n; ++i) most = std::max(most, values[i]);
    double sum = 0;
    for (std::size_t i = 0; i < n; ++i) sum += std::exp(values[i] - most);
    return most + std::log(sum);
}

}  // namespace

CurvePopulation::CurvePopulation(const GravityPrior& prior)
    : shapes_{shape_priors(prior)},
      prior_{prior},
      particles_(size),
      random_walk_sigma_{random_walk.sigma_start} {
    draw_components();
    for (Particle& particle : particles_) {
        particle.family = drawn_family();
        const ShapePrior& shapes = prior_of(particle.family);
        ShapeVector z;
        for (int i = 0; i < index::count; ++i) z[i] = random_.normal();
        particle.shape = shapes.mean + shapes.root * z;
        particle.log_density = shapes.log_density(particle.shape);
    }
}

/// By its chance beforehand.
Family CurvePopulation::drawn_family() {
    double left = random_.fraction();
    std::size_t family = 0;
    for (std::size_t f = 0; f < families; ++f) {
        const double chance = std::exp(shapes_[f].log_chance);
        if (chance > 0) family = f;
        if ((left -= chance) < 0) break;
    }
    return static_cast<Family>(family);
}

void CurvePopulation::draw_components() {
    for (std::size_t f = 0; f < families; ++f)
        components_[f] = linear_priors(prior_, static_cast<Family>(f), change_points_.crept_h.has_value());
}

void CurvePopulation::expect_end(const GravityPrior& prior) {
    prior_ = prior;
    draw_components();
}

const CurvePopulation::Particle& CurvePopulation::likeliest() const {
    return *std::ranges::max_element(particles_, {}, &Particle::log_density);
}

/// The log evidence of each mixture component, the linear parameters integrated out.
CurvePopulation::ComponentLogs CurvePopulation::log_component_evidence(const NormalEquations& sums,
                                                                       Family family) const {
    ComponentLogs logs{};
    const std::vector<LinearPrior>& components = components_of(family);
    for (std::size_t w = 0; w < components.size(); ++w) {
        const LinearPrior& prior = components[w];
        const Eigen::LLT<LinearMatrix> root{LinearMatrix{sums.precision + prior.precision}};
        LinearVector z = sums.information + prior.information;
        root.matrixL().solveInPlace(z);
        double product = 1.0;
        for (int i = 0; i < linear::count; ++i) product *= root.matrixLLT()(i, i);
        logs[w] = prior.log_weight - std::log(product) + z.squaredNorm() / 2;
    }
    return logs;
}

double CurvePopulation::log_marginal_likelihood(const NormalEquations& sums, Family family) const {
    return sums.rest + log_sum(log_component_evidence(sums, family), components_of(family).size());
}

double CurvePopulation::log_density(const ShapeVector& shape, Family family,
                                    const GravityEvidence& evidence) const {
    const double density = prior_of(family).log_density(shape) +
                           log_marginal_likelihood(normal_equations(shape, family, evidence), family);
    return std::isfinite(density) ? density : impossible;
}

/// The sigma of the random-walk bias: the mean of a few, weighted by how well each explains the readings
/// about the likeliest curve.
void CurvePopulation::fit_random_walk(const std::vector<GravityPoint>& points,
                                      const std::vector<HandPoint>& hands, const Present& present) {
    const auto& [family, shape, density, weight] = likeliest();
    constexpr std::size_t count = random_walk.sigmas.size();
    ComponentLogs fit{};
    for (std::size_t i = 0; i < count; ++i) {
        const GravityEvidence evidence{
            points, hands, present, change_points_, prior_.culture, random_walk.sigmas[i], noise_inflation_};
        fit[i] = random_walk.log_prior[i] +
                 log_marginal_likelihood(normal_equations(shape, family, evidence), family);
    }
    const double all = log_sum(fit, count);
    double mean = 0;
    for (std::size_t i = 0; i < count; ++i) mean += std::exp(fit[i] - all) * std::log(random_walk.sigmas[i]);
    random_walk_sigma_ =
        std::exp(random_walk.memory * std::log(random_walk_sigma_) + (1.0 - random_walk.memory) * mean);
}

/// Importance weights of the news. When it surprises, it is tempered, or a handful of particles would be all
/// that is left; the moves do the rest.
void CurvePopulation::reweigh(const GravityEvidence& evidence) {
    std::vector<double> logs(size);
    double most = impossible;
    for (std::size_t i = 0; i < size; ++i) {
        Particle& particle = particles_[i];
        const double density = log_density(particle.shape, particle.family, evidence);
        constexpr double never_zero = 1e-300;
        logs[i] = std::log(particle.weight + never_zero) + density - particle.log_density;
        particle.log_density = density;
        most = std::max(most, logs[i]);
    }
    std::vector<double> weights(size);
    const auto effective_share = [&](double exponent) {
        for (std::size_t i = 0; i < size; ++i) weights[i] = std::exp(exponent * (logs[i] - most));
        return statistics::effective_size(weights) / static_cast<double>(size);
    };
    double exponent = 1.0;
    double effective = effective_share(exponent);
    while (effective < sampling.effective_min && exponent > sampling.temper_min)
        effective = effective_share(exponent *= sampling.temper);
    double sum = 0;
    for (const double w : weights) sum += w;
    for (std::size_t i = 0; i < size; ++i) particles_[i].weight = weights[i] / sum;
    if (effective < sampling.resample_below) resample();
}

void CurvePopulation::resample() {
    std::vector<double> weights;
    weights.reserve(size);
    for (const Particle& particle : particles_) weights.push_back(particle.weight);
    std::vector<Particle> chosen;
    chosen.reserve(size);
    for (const std::size_t i : statistics::systematic_resample(weights, random_.fraction())) {
        chosen.push_back(particles_[i]);
        chosen.back().weight = 1.0 / static_cast<double>(size);
    }
    particles_ = std::move(chosen);
}

/// Indices that the readings can tell something of; the others keep their prior.
std::vector<int> CurvePopulation::used_indices(Family family, const ChangePoints& change_points) const {
    std::vector<int> used = indices_of(family, prior_.culture);
    if (change_points.stalled_h) used.insert(used.end(), {index::log_stall_activity, index::stall_when});
    if (change_points.woke_h) used.insert(used.end(), {index::log_wake_activity, index::log_wake_lag});
    if (change_points.crept_h) used.insert(used.end(), {index::log_creep_rate, index::creep_when});
    return used;
}

/// A step along the line between two other particles, in all indices or in a few.
ShapeVector CurvePopulation::proposal_for(const Particle& from, const ShapeVector& line,
                                          const std::vector<int>& used) {
    const bool all = random_.fraction() < sampling.all_indices;
    std::array<int, index::count> chosen{};
    int count = 0;
    for (const int at : used)
        if (all || random_.fraction() < sampling.some_indices) chosen[static_cast<std::size_t>(count++)] = at;
    if (count == 0) chosen[static_cast<std::size_t>(count++)] = used[random_.next() % used.size()];
    const double stride =
        random_.fraction() < sampling.mode_jump ? 1.0 : sampling.stride / std::sqrt(2.0 * count);
    ShapeVector shape = from.shape;
    const ShapeMatrix& root = prior_of(from.family).root;
    for (int k = 0; k < count; ++k) {
        const int at = chosen[static_cast<std::size_t>(k)];
        shape[at] += stride * line[at] + sampling.jitter * root(at, at) * random_.normal();
    }
    return shape;
}

/// A DE-MC move, accepted by Metropolis. The line goes between any two others, whatever their family: a
/// family with few particles would know no lines else.
void CurvePopulation::move_within(Particle& particle, const GravityEvidence& evidence,
                                  const std::vector<int>& used) {
    const Particle& a = particles_[random_.next() % size];
    const Particle& b = particles_[random_.next() % size];
    if (&a == &b || &a == &particle || &b == &particle) return;
    const ShapeVector shape = proposal_for(particle, a.shape - b.shape, used);
    const double density = log_density(shape, particle.family, evidence);
    if (std::log(1.0 - random_.fraction()) >= density - particle.log_density) return;
    particle.shape = shape;
    particle.log_density = density;
}

/// Another family is proposed by its chance beforehand, and what is its own by its prior.
void CurvePopulation::move_to_another(Particle& particle, const GravityEvidence& evidence) {
    const Family family = drawn_family();
    const ShapePrior& there = prior_of(family);
    const ShapePrior& here = prior_of(particle.family);
    ShapeVector shape = particle.shape;
    for (int i = index::shared; i < index::learnt; ++i)
        shape[i] = there.mean[i] + there.root.row(i).norm() * random_.normal();
    const double density = log_density(shape, family, evidence);
    const double forth = there.log_chance + there.log_density_of_own(shape);
    const double back = here.log_chance + here.log_density_of_own(particle.shape);
    if (std::log(1.0 - random_.fraction()) >= density - forth - (particle.log_density - back)) return;
    particle = {family, shape, density, particle.weight};
}

void CurvePopulation::move(const GravityEvidence& evidence) {
    std::array<std::vector<int>, families> used;
    for (std::size_t f = 0; f < families; ++f)
        used[f] = used_indices(static_cast<Family>(f), evidence.change_points);
    for (Particle& particle : particles_) {
        if (random_.fraction() < sampling.another_family)
            move_to_another(particle, evidence);
        else
            move_within(particle, evidence, used[static_cast<std::size_t>(particle.family)]);
    }
}

/// Noise has heavy tails: a point far off the likeliest curve counts for less.
void CurvePopulation::inflate_outliers(const std::vector<GravityPoint>& points,
                                       const std::vector<HandPoint>& hands, const Present& present) {
    noise_inflation_.clear();
    const GravityEvidence plain{
        points, hands, present, change_points_, prior_.culture, random_walk_sigma_, noise_inflation_};
    const auto& [family, shape, density, weight] = likeliest();
    const NormalEquations equations = normal_equations(shape, family, plain);
    const LinearPrior& prior = components_of(family)[1];  // neither the tidiest brewer nor the untidiest
    const Eigen::LLT<LinearMatrix> root{LinearMatrix{equations.precision + prior.precision}};
    const LinearVector x = root.solve(equations.information + prior.information);
    const GravityShape curve{shape_parameters(shape, family, prior_.culture)};
    const BatchClock clock = plain.clock(shape);
    const Creep creep = plain.creep(shape, clock);
    double bias = 0;
    std::size_t hint = 0;
    noise_inflation_.assign(points.size(), 1.0);
    for (std::size_t i = 0; i < points.size(); ++i) {
        const WhitenedRow& row = plain.rows[i];
        const double thermal_h = clock.at(points[i].thermal);
        const Fermented gone = curve.at(thermal_h, hint);
        const double expected = x[linear::original] - x[linear::main] * gone.main -
                                x[linear::slow] * gone.slow - x[linear::creep] * creep.at(thermal_h) +
                                x[linear::bias] + x[linear::drift] * points[i].hour / hours_per_day;
        const double innovation = points[i].points - expected - bias;
        const double z = innovation * row.inverse_sigma;
        noise_inflation_[i] = std::max(1.0, z * z / sampling.outlier_z2);
        bias = row.keep * (bias + row.gain / noise_inflation_[i] * innovation);
    }
}

/// What happens from a change point on is unknown: drawn from the prior, then learnt.
void CurvePopulation::redraw_changed(const ChangePoints& now) {
    const auto is_new = [&](int at) {
        if (at == index::log_stall_activity || at == index::stall_when)
            return now.stalled_h != change_points_.stalled_h;
        if (at == index::log_wake_activity || at == index::log_wake_lag)
            return now.woke_h != change_points_.woke_h;
        return now.crept_h != change_points_.crept_h;
    };
    for (Particle& particle : particles_) {
        const ShapePrior& shapes = prior_of(particle.family);
        particle.log_density -= shapes.log_density(particle.shape);
        for (int at = index::learnt; at < index::count; ++at)
            if (is_new(at)) particle.shape[at] = shapes.mean[at] + shapes.root(at, at) * random_.normal();
        particle.log_density += shapes.log_density(particle.shape);
    }
    change_points_ = now;
    draw_components();
}

void CurvePopulation::follow(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                             const Present& present, const ChangePoints& change_points, int moves) {
    if (change_points != change_points_) {
        redraw_changed(change_points);
        moves += sampling.moves_at_change;
    }
    inflate_outliers(points, hands, present);
    fit_random_walk(points, hands, present);
    const GravityEvidence evidence{
        points, hands, present, change_points_, prior_.culture, random_walk_sigma_, noise_inflation_};
    reweigh(evidence);
    for (int i = 0; i < moves; ++i) move(evidence);
    predict_all(evidence);
}

/// One particle with one draw of its linear parameters.
struct CurvePopulation::Hypothesis {
    const GravityEvidence& evidence;
    const GravityShape& curve;
    const BatchClock& clock;
    const Creep& creep;
    LinearVector x;

    [[nodiscard]] double gravity(double thermal_h) const {
        const Fermented gone = curve.at(thermal_h);
        return x[linear::original] - x[linear::main] * gone.main - x[linear::slow] * gone.slow -
               x[linear::creep] * creep.at(thermal_h);
    }
    [[nodiscard]] double final() const {
        return x[linear::original] - x[linear::main] - x[linear::slow] - x[linear::creep];
    }
    /// When only `finish_points` are left, by the clock of this hypothesis.
    [[nodiscard]] double finish_thermal_h() const {
        const double left = predicting.finish_points;
        const double finish = curve.thermal_h_when_left(x[linear::main], x[linear::slow], left);
        if (!evidence.change_points.crept_h || x[linear::creep] <= left) return finish;
        return std::max(finish, creep.from_thermal_h + std::log(x[linear::creep] / left) / creep.per_h);
    }
    /// What the readings say beyond curve, bias and drift, at present; `z`: a standard normal number.
    [[nodiscard]] double random_walk_bias(const NormalEquations& s, double z) const {
        const GravityEvidence& e = evidence;
        return e.end_y - (x[linear::original] + x[linear::bias]) * e.end_one - x[linear::drift] * e.end_day +
               x[linear::main] * s.end_main + x[linear::slow] * s.end_slow + x[linear::creep] * s.end_creep +
               std::sqrt(e.end_variance) * z;
    }
};

/// Draws the linear parameters that go with a shape: first the mixture component, then from its normal
/// posterior. Sugar that would come back is drawn again, and at last cut off.
LinearVector CurvePopulation::draw_linear(const NormalEquations& s, Family family, const ComponentLogs& logs,
                                          std::size_t k) const {
    const std::vector<LinearPrior>& components = components_of(family);
    const double all = log_sum(logs, components.size());
    std::size_t component = 0;
    for (double left = common_random_numbers().fractions[k][0] - std::exp(logs[0] - all);
         left > 0 && component + 1 < components.size(); left -= std::exp(logs[component] - all))
        ++component;
    const LinearPrior& prior = components[component];
    const Eigen::LLT<LinearMatrix> root{LinearMatrix{s.precision + prior.precision}};
    const LinearVector middle = root.solve(s.information + prior.information);
    LinearVector x = middle;
    for (std::size_t attempt = 0; attempt < sampling.draw_attempts; ++attempt) {
        LinearVector z;
        for (int i = 0; i < linear::count; ++i) z[i] = normals(k, attempt)[static_cast<std::size_t>(i)];
        x = middle + root.matrixU().solve(z);
        if (x[linear::slow] >= 0 && x[linear::main] >= 0 && x[linear::creep] >= sampling.creep_min) break;
        x[linear::slow] = std::max(0.0, x[linear::slow]);
        x[linear::creep] = std::max(0.0, x[linear::creep]);
    }
    return x;
}

/// What a hypothesis says of the present and the end. `k` numbers its common random numbers.
Prediction CurvePopulation::predict(const Hypothesis& hypothesis, const NormalEquations& s,
                                    std::size_t k) const {
    const Present& present = hypothesis.evidence.present;
    const LinearVector& x = hypothesis.x;
    const BatchClock& clock = hypothesis.clock;
    const auto& chance = common_random_numbers().fractions[k];
    Prediction p;
    p.original = x[linear::original];
    p.thermal_per_hour = clock.mix.at(present.speed);
    const double thermal_h = clock.at(present.thermal);
    const bool stalled = thermal_h > clock.stalled_h;
    const double pace = thermal_h > clock.woken_h ? clock.woken_activity : 1.0;
    // What has stalled may still be roused, by warmth or by hand.
    const double activity = !stalled                        ? pace
                            : chance[2] < predicting.roused ? predicting.roused_activity
                                                            : clock.activity;
    const double step_h = std::max(0.0, activity * p.thermal_per_hour);

    // The truth runs ahead of what a lifted float shows.
    const double lift_sigma_h = predicting.lift_sigma_h + predicting.lift_sigma_share * present.lift_h;
    const double lift_h = present.lift_h + lift_sigma_h * normals(k, 2)[0];
    const double true_h = thermal_h + std::max(0.0, lift_h) * step_h;
    const double on_curve = hypothesis.gravity(true_h);
    const double factor = std::max(0.0, 1.0 + predicting.rate_sigma * normals(k, 3)[1]);
    p.per_day = factor * hours_per_day * (hypothesis.gravity(true_h + step_h) - on_curve);
    p.fall_12h = on_curve - hypothesis.gravity(true_h + predicting.forecast_h * activity);
    p.fall_24h = on_curve - hypothesis.gravity(true_h + 2 * predicting.forecast_h * activity);

    // While much happens, the curve is as likely wrong as the sensor; at rest it is the sensor that wanders.
    const double bias = hypothesis.random_walk_bias(s, normals(k, 0)[linear::count]);
    p.now = on_curve + chance[1] * std::min(1.0, std::abs(p.per_day) / predicting.brisk_per_day) * bias;
    p.sensor = hypothesis.gravity(thermal_h) + bias + x[linear::bias] +
               x[linear::drift] * present.hour / hours_per_day;

    if (stalled) {
        const double speed = std::max(p.thermal_per_hour, predicting.stalled_speed_min);
        p.final = hypothesis.gravity(true_h + activity * speed * predicting.stalled_ends_after_h);
        p.wait_h = GravityShape::never;
    } else {
        p.final = hypothesis.final();
        p.wait_h = (hypothesis.finish_thermal_h() - true_h) / pace;
    }
    return p;
}

void CurvePopulation::predict_all(const GravityEvidence& e) {
    predictions_.clear();
    predictions_.reserve(size * draws_each);
    for (std::size_t m = 0; m < size; ++m) {
        const Particle& particle = particles_[m];
        const NormalEquations equations = normal_equations(particle.shape, particle.family, e);
        const GravityShape curve{shape_parameters(particle.shape, particle.family, prior_.culture)};
        const BatchClock clock = e.clock(particle.shape);
        const Creep creep = e.creep(particle.shape, clock);
        const ComponentLogs logs = log_component_evidence(equations, particle.family);
        for (std::size_t draw = 0; draw < draws_each; ++draw) {
            const std::size_t k = m * draws_each + draw;
            Prediction prediction =
                predict(Hypothesis{e, curve, clock, creep, draw_linear(equations, particle.family, logs, k)},
                        equations, k);
            prediction.particle = m;
            prediction.weight = particle.weight / draws_each;
            predictions_.push_back(prediction);
        }
    }
}

double CurvePopulation::wander(double after_h) const {
    return random_walk_sigma_ * std::sqrt(2.0 * (1.0 - std::exp(-after_h / random_walk.correlation_h)));
}

LearnedFamilies CurvePopulation::families_now() const {
    // moments of each family, and of all in the last place
    std::array<LearnedFamily, families + 1> moments;
    for (std::size_t f = 0; f <= families; ++f) {
        LearnedFamily& m = moments[f];
        m.mean.setZero();
        m.covariance.setZero();
        const auto each = [&](auto what) {
            for (const Particle& p : particles_)
                if (f == families || p.family == static_cast<Family>(f))
                    what(p.weight, p.shape.head<index::learnt>());
        };
        each([&](double w, const auto& x) {
            m.chance += w;
            m.mean += w * x;
        });
        m.mean /= std::max(m.chance, tiny);
        each([&](double w, const auto& x) {
            m.covariance += w / m.chance * (x - m.mean) * (x - m.mean).transpose();
        });
    }
    LearnedFamilies learned;
    for (std::size_t f = 0; f < families; ++f) {
        learned[f] = moments[f];
        if (moments[f].chance > sampling.known_family) continue;
        // too few to tell: what is its own stays as it was
        const ShapeMatrix before = shapes_[f].root * shapes_[f].root.transpose();
        learned[f].mean = shapes_[f].mean.head<index::learnt>();
        learned[f].covariance = before.topLeftCorner<index::learnt, index::learnt>();
        learned[f].covariance.topRows<index::shared>().setZero();
        learned[f].covariance.leftCols<index::shared>().setZero();
        learned[f].mean.head<index::shared>() = moments[families].mean.head<index::shared>();
        learned[f].covariance.topLeftCorner<index::shared, index::shared>() =
            moments[families].covariance.topLeftCorner<index::shared, index::shared>();
    }
    return learned;
}

}  // namespace gyled::estimation::gravity
