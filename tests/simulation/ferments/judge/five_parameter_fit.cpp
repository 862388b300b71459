/// Parameters: true original gravity, log drop, log duration from 5 to 95 %, log hours to 5 %, log s, offset
/// of the sensor. All priors are normal and weak; the curve is reckoned in hours at 20 degC (11 degC for
/// lagers).

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

#include "sensors/virtual_vessel/plant/random.hpp"
#include "tests/simulation/ferments/judge/peers.hpp"

namespace gyled::ferment_worlds {
namespace {

constexpr std::size_t parameters = 6;
enum : std::size_t { original, log_drop, log_days, midpoint, log_s, offset };
using Vector = std::array<double, parameters>;

struct Row {
    double hour;  ///< thermal
    double points;
    double sigma;
    bool by_hand;
};

/// Normal priors.
struct Prior {
    Vector mean, sigma;
};

Prior prior_for(const World& world) {
    const double told = 1000 * (world.told_original_sg - 1);
    const bool is_lager = world.culture == base::Culture::lager;
    const double drop = world.told_final_sg ? told - 1000 * (*world.told_final_sg - 1) : 0.76 * told;
    const double drop_sigma = world.told_final_sg ? 2.4 / drop : 0.09;
    return {{told, std::log(drop), std::log(is_lager ? 170.0 : 90.0), 0.65, 0, 0},
            {1, drop_sigma, 0.6, 0.35, 1.0, 2}};
}

double place(double share, double s) {
    return std::log(std::pow(1 - share, -1 / s) - 1);
}

/// The curve as one vector of parameters draws it; points.
struct Curve {
    explicit Curve(const Vector& p)
        : s{std::exp(std::clamp(p[log_s], -3.0, 3.0))},
          b{(place(0.95, s) - place(0.05, s)) / std::exp(p[log_days])},
          m{p[midpoint] * std::exp(p[log_days]) - place(0.5, s) / b},
          top{p[original]},
          drop{std::exp(p[log_drop])},
          first{left(0)} {}
    [[nodiscard]] double left(double hour) const { return std::pow(1 + std::exp(b * (hour - m)), -s); }
    [[nodiscard]] double at(double hour) const { return top - drop * (1 - left(hour) / first); }
    [[nodiscard]] double end() const { return top - drop; }
    /// Thermal hour at which so many points are left.
    [[nodiscard]] double hour_when_left(double points) const {
        const double share = 1 - points / drop * first;
        return share <= 0 ? 0 : m + place(share, s) / b;
    }
    double s, b, m, top, drop, first = 1;
};

/// Hours at the reference that go by in one hour. Arrhenius, 60 kJ/mol: Q10 of 2.3 (common practice).
double pace(double celsius, bool is_lager) {
    constexpr double kelvin_of_energy = 60.0 / 8.314462618e-3;
    const double reference_k = 273.15 + (is_lager ? 11 : 20);
    return std::exp(kelvin_of_energy * (1 / reference_k - 1 / (273.15 + celsius)));
}

/// What was read by then, an hour's median each, in thermal time.
class Record {
public:
    Record(const World& world, Timestamp at) : is_lager_{world.culture == base::Culture::lager} {
        double celsius = world.stages.front().celsius, thermal = 0;
        std::vector<double> hour;
        Timestamp before = world.begin, hour_began = world.begin;
        const auto close_hour = [&] {
            if (hour.empty()) return;
            const auto middle = hour.begin() + static_cast<std::ptrdiff_t>(hour.size() / 2);
            std::ranges::nth_element(hour, middle);
            rows.push_back({thermal, *middle, 1, false});
            hour.clear();
        };
        const auto go_on = [&](Timestamp to) {
            thermal += base::hours_between(before, to) * pace(celsius, is_lager_);
            before = to;
        };
        for (const Reading& reading : world.readings) {
            if (reading.at > at) break;
            if (reading.quantity == base::Quantity::forced_final_gravity)
                continue;  // no textbook takes it in
            go_on(reading.at);
            const double points = 1000 * (reading.value - 1);
            if (reading.quantity == base::Quantity::beer_temperature) {
                celsius = reading.value;
            } else if (reading.by_hand) {
                rows.push_back({thermal, points, 0.8, true});
            } else {
                if (reading.at - hour_began >= std::chrono::hours{1}) close_hour(), hour_began = reading.at;
                hour.push_back(points);
            }
        }
        close_hour();
        go_on(at);
        now = thermal;
        speed = pace(celsius, is_lager_);
        for (const StageTold& told : world.planned)
            if (told.at > at)
                later.emplace_back(base::hours_between(at, told.at), pace(told.celsius, is_lager_));
    }

    /// Clock hours from now until that thermal hour, as warm as it is and as planned.
    [[nodiscard]] double hours_until(double thermal) const {
        double left = thermal - now, hours = 0, at_speed = speed;
        for (const auto& [from, faster] : later) {
            if (left < (from - hours) * at_speed) break;
            left -= (from - hours) * at_speed;
            hours = from;
            at_speed = faster;
        }
        return hours + left / at_speed;
    }

    std::vector<Row> rows;
    double now = 0, speed = 1;
    std::vector<std::pair<double, double>> later;  ///< hours from now, speed from then on

private:
    bool is_lager_;
};

struct Problem {
    const std::vector<Row>& rows;
    const Prior& prior;
    double sigma;  ///< of a float's hour, what is correlated counted once
};

Vector vector_of(const gsl_vector* x) {
    Vector p;
    for (std::size_t i = 0; i < parameters; ++i) p[i] = gsl_vector_get(x, i);
    return p;
}

double residual(const Row& row, const Curve& curve, const Vector& p) {
    return row.points - curve.at(row.hour) - (row.by_hand ? 0 : p[offset]);
}

/// Weighted residuals of readings and priors. Huber's: what lies far off pulls no harder than two sigma.
int residuals(const gsl_vector* x, void* data, gsl_vector* out) {
    const Problem& problem = *static_cast<const Problem*>(data);
    const Vector p = vector_of(x);
    const Curve curve{p};
    std::size_t i = 0;
    for (const Row& row : problem.rows) {
        const double z = residual(row, curve, p) / (row.by_hand ? row.sigma : problem.sigma);
        constexpr double far = 3;
        const double pulled =
            std::abs(z) <= far ? z : std::copysign(std::sqrt(far * (2 * std::abs(z) - far)), z);
        gsl_vector_set(out, i++, std::isfinite(pulled) ? pulled : 1e6);
    }
    for (std::size_t k = 0; k < parameters; ++k)
        gsl_vector_set(out, i++, (p[k] - problem.prior.mean[k]) / problem.prior.sigma[k]);
    return GSL_SUCCESS;
}

/// The mode, and the lower root of Laplace's covariance about it.
struct Fit {
    Vector mode;
    std::array<Vector, parameters> root{};
    double cost = 0;
};

Fit fitted(const Problem& problem, const Vector& start) {
    const std::size_t n = problem.rows.size() + parameters;
    gsl_multifit_nlinear_parameters options = gsl_multifit_nlinear_default_parameters();
    options.scale = gsl_multifit_nlinear_scale_levenberg;
    const std::unique_ptr<gsl_multifit_nlinear_workspace, decltype(&gsl_multifit_nlinear_free)> work{
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &options, n, parameters),
        gsl_multifit_nlinear_free};
    gsl_multifit_nlinear_fdf fdf{};
    fdf.f = residuals;
    fdf.n = n;
    fdf.p = parameters;
    fdf.params = const_cast<Problem*>(&problem);
    Vector from = start;
    const gsl_vector_view x = gsl_vector_view_array(from.data(), parameters);
    gsl_multifit_nlinear_init(&x.vector, &fdf, work.get());
    int info = 0;
    gsl_multifit_nlinear_driver(60, 1e-6, 1e-8, 0, nullptr, nullptr, &info, work.get());

    Fit fit;
    fit.mode = vector_of(gsl_multifit_nlinear_position(work.get()));
    const gsl_vector* left = gsl_multifit_nlinear_residual(work.get());
    for (std::size_t i = 0; i < n; ++i) fit.cost += std::pow(gsl_vector_get(left, i), 2);
    std::array<double, parameters * parameters> room{};
    gsl_matrix_view covariance = gsl_matrix_view_array(room.data(), parameters, parameters);
    gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(work.get()), 0, &covariance.matrix);
    for (std::size_t i = 0; i < parameters; ++i)  // Cholesky
        for (std::size_t j = 0; j <= i; ++j) {
            double sum = room[i * parameters + j];
            for (std::size_t k = 0; k < j; ++k) sum -= fit.root[i][k] * fit.root[j][k];
            fit.root[i][j] = i == j ? std::sqrt(std::max(sum, 1e-12)) : sum / fit.root[j][j];
        }
    return fit;
}

/// From both a quick and a slow tail: the better of the two.
Fit best_fit(const Problem& problem) {
    Vector start = problem.prior.mean;
    Fit best = fitted(problem, start);
    for (const double s : {-0.8, 0.8}) {
        start[log_s] = s;
        if (const Fit other = fitted(problem, start); other.cost < best.cost) best = other;
    }
    return best;
}

/// Of a float's hour, as the residuals have it: white, times what neighbours share.
double effective_sigma(const std::vector<Row>& rows, const Fit& fit) {
    const Curve curve{fit.mode};
    double square = 0, neighbours = 0, count = 0, before = 0;
    for (const Row& row : rows) {
        if (row.by_hand) continue;
        const double r = std::clamp(residual(row, curve, fit.mode), -3.0, 3.0);
        square += r * r;
        neighbours += r * before;
        before = r;
        ++count;
    }
    if (count < 2 * parameters) return 1;
    const double correlation = std::clamp(neighbours / square, 0.0, 0.95);
    return std::max(0.2, std::sqrt(square / (count - parameters) * (1 + correlation) / (1 - correlation)));
}

base::Estimate interval(std::vector<double> values, double value) {
    std::ranges::sort(values);
    const auto at = [&](double share) {
        return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
    };
    return {value, at(0.05), at(0.95)};
}

}  // namespace

Forecast five_parameter_fit(const World& world, Timestamp at) {
    gsl_set_error_handler_off();
    const Record record{world, at};
    if (record.rows.size() < 2) return {};
    const Prior prior = prior_for(world);
    Fit fit = best_fit({record.rows, prior, 1});
    const double sigma = effective_sigma(record.rows, fit);
    fit = best_fit({record.rows, prior, sigma});

    const auto finish_s = [&](const Curve& curve) {
        return base::unix_seconds(at) + 3600 * record.hours_until(curve.hour_when_left(1000 * end_sg));
    };
    constexpr int draws = 400;
    virtual_vessel::Random random{world.number, static_cast<std::uint64_t>(record.rows.size())};
    std::vector<double> now, final, finish;
    for (int draw = 0; draw < draws; ++draw) {
        Vector p = fit.mode, z;
        for (double& each : z) each = random.normal();
        for (std::size_t i = 0; i < parameters; ++i)
            for (std::size_t j = 0; j <= i; ++j) p[i] += fit.root[i][j] * z[j];
        const Curve curve{p};
        now.push_back(1 + curve.at(record.now) / 1000);
        final.push_back(1 + curve.end() / 1000);
        finish.push_back(finish_s(curve));
    }
    const Curve mode{fit.mode};
    return {interval(std::move(now), 1 + mode.at(record.now) / 1000),
            interval(std::move(final), 1 + mode.end() / 1000), interval(std::move(finish), finish_s(mode))};
}

}  // namespace gyled::ferment_worlds
