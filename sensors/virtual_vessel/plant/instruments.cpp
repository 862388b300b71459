#include "sensors/virtual_vessel/plant/instruments.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::virtual_vessel {
namespace {

constexpr std::uint64_t first_stream = 100;

Duration seconds(double s) {
    return Duration{static_cast<long long>(s * 1000.0)};
}

double truth_of(Quantity q, const Truth& t) {
    switch (q) {
        case Quantity::beer_temperature:
            return t.beer_c;
        case Quantity::jacket_temperature:
            return t.jacket_c;
        case Quantity::room_temperature:
            return t.room_c;
        case Quantity::gravity:
            return t.sg;
        case Quantity::head_pressure:
            return t.head_pressure_kpa;
        case Quantity::barometric_pressure:
            return t.ambient_kpa;
        case Quantity::supply_pressure:
            return t.supply_pressure_kpa;
        default:
            return NAN;
    }
}

bool is_in(const std::vector<Window>& windows, double hours) {
    return std::ranges::any_of(
        windows, [&](const Window& w) { return hours >= w.start_hours && hours < w.start_hours + w.hours; });
}

}  // namespace

Instruments::Instruments(const Scenario& scenario) : begin_{scenario.begin} {
    for (const SensorOptions& options : scenario.sensors) {
        const auto stream = first_stream + static_cast<std::uint64_t>(options.quantity);
        probes_.push_back({options, Random{scenario.seed, stream}, begin_, {}, {}});
    }
    for (const Trouble& t : scenario.troubles)
        if (t.kind == TroubleKind::sensor_dropout)
            drop_out(t.sensor, begin_ + base::hours(t.start_hours), base::hours(std::min(t.hours, 1e5)));
}

void Instruments::drop_out(std::optional<Quantity> which, Timestamp from, Duration span) {
    for (Probe& probe : probes_)
        if (!which || probe.options.quantity == *which) probe.silences.emplace_back(from, from + span);
}

void Instruments::speak_again(TroubleKind ended) {
    if (ended != TroubleKind::sensor_dropout) return;
    for (Probe& probe : probes_) probe.silences.clear();
}

void Instruments::read(Probe& probe, const Truth& truth, Timestamp at) {
    const SensorOptions& o = probe.options;
    Random& random = probe.random;
    const double hours = base::hours_between(begin_, at);
    // Chance is drawn for lost readings too, so that losing some does not change the others.
    const double noise = o.noise * random.normal();
    const double gas = o.gas_noise * truth.evolution_vol_per_h * (std::abs(random.normal()) - 0.25);
    const bool is_outlier = random.happens(o.outlier_probability);
    const double jump = o.outlier_size * random.between(0.3, 1.0);
    const bool downward = random.happens(0.5) && o.quantity != Quantity::gravity;
    const bool twice = random.happens(o.duplicate_probability);
    const auto is_silent = [&](const auto& s) { return at >= s.first && at < s.second; };
    if (is_in(o.dropouts, hours) || std::ranges::any_of(probe.silences, is_silent)) return;
    // The float goes in with the yeast.
    if (o.quantity == Quantity::gravity && !base::is_cold_side(truth.stage)) return;

    double value = truth_of(o.quantity, truth) + noise + o.bias + o.drift_per_day * hours / 24.0;
    if (o.quantity == Quantity::gravity) value += gas;
    if (is_outlier) value += downward ? -jump : jump;
    if (o.step > 0) value = std::round(value / o.step) * o.step;
    const Sample sample{at, at + seconds(o.clock_offset_s), o.quantity, value};
    probe.kept.push_back(sample);
    if (twice) probe.kept.push_back(sample);
}

/// Hands over what is kept, unless the sensor sleeps or has no connection.
void Instruments::deliver(Probe& probe, Timestamp now, std::vector<Sample>& out) const {
    if (probe.kept.empty()) return;
    const SensorOptions& o = probe.options;
    const double hours = base::hours_between(begin_, now);
    if (is_in(o.outages, hours)) return;
    if (o.upload_every_s > 0) {
        const double waited_s = base::hours_between(probe.kept.front().arrival, now) * 3600.0;
        if (waited_s < o.upload_every_s) return;
    }
    const bool was_held = o.upload_every_s > 0 || !o.outages.empty();
    for (Sample& sample : probe.kept) {
        if (was_held && now - sample.arrival > std::chrono::seconds{60}) sample.arrival = now;
        out.push_back(sample);
    }
    probe.kept.clear();
}

std::vector<Sample> Instruments::sample(const Plant& plant) {
    const Timestamp now = plant.time();
    std::vector<Sample> out;
    for (Probe& probe : probes_) {
        while (probe.due <= now) {
            read(probe, plant.truth(), probe.due);
            probe.due += seconds(probe.options.cadence_s);
        }
        deliver(probe, now, out);
    }
    std::ranges::stable_sort(out, {}, &Sample::arrival);
    return out;
}

Recording record(const Scenario& scenario, Duration truth_every) {
    Plant plant{scenario};
    Instruments instruments{scenario};
    double cadence_s = 60;
    for (const SensorOptions& o : scenario.sensors) cadence_s = std::min(cadence_s, o.cadence_s);
    const Duration tick = std::max(seconds(cadence_s), Duration{1000});

    Recording recording;
    Timestamp next_truth = plant.time();
    while (true) {
        for (Sample& sample : instruments.sample(plant)) recording.samples.push_back(sample);
        const bool over = plant.is_over();
        if (plant.time() >= next_truth || over) {
            recording.truths.push_back(plant.truth());
            next_truth += truth_every;
        }
        if (over) break;
        plant.advance(tick);
    }
    std::ranges::stable_sort(recording.samples, {}, &Sample::arrival);
    return recording;
}

}  // namespace gyled::virtual_vessel
