#include "tests/simulation/pressure/truth/record.hpp"

#include <algorithm>
#include <cmath>

#include "tests/simulation/pressure/truth/vessel.hpp"

namespace gyled::pressure_worlds {
namespace {

constexpr Timestamp first_day{base::Duration{1'772'388'000'000}};  // 2026-03-01T18:00:00Z
constexpr double as_good_as_done_points = 0.5;
constexpr double hydrometer_sigma_sg = 0.0005;  // read by eye, degassed
enum Stream : std::uint64_t { hydrometer_stream = 90, instrument_stream = 100 };

double shown(Quantity quantity, const Truth& truth) {
    switch (quantity) {
        case Quantity::beer_temperature:
            return truth.beer_c;
        case Quantity::gravity:
            return truth.sg;
        case Quantity::barometric_pressure:
            return truth.ambient_kpa;
        default:
            return truth.gauge_kpa;
    }
}

/// The play as it stands: who is next, and what they go by.
class Play {
public:
    explicit Play(const Script& script)
        : vessel_{script}, hands_{script.hands}, eye_{script.seed, hydrometer_stream} {
        tape_.script = script;
        tape_.begin = tape_.end = first_day + script.begins;
        for (const Probe& probe : script.probes)
            instruments_.emplace_back(
                probe,
                virtual_vessel::Random{script.seed,
                                       instrument_stream + static_cast<std::uint64_t>(probe.quantity)},
                tape_.begin);
    }

    Tape to_the_end() {
        const Script& script = tape_.script;
        note();
        while (!hands_.over && moment_.hours < script.longest_h) {
            act();
            const double hours = base::hours_between(Timestamp{}, Timestamp{script.step});
            vessel_.step(hours, hands_);
            tape_.end += script.step;
            count(hours);
            note();
        }
        return std::move(tape_);
    }

private:
    void count(double hours) {
        moment_.hours = base::hours_between(tape_.begin, tape_.end);
        moment_.since_last_h += hours;
        moment_.share_done = vessel_.share_done();
        moment_.points_left = vessel_.points_left();
        if (moment_.points_left < as_good_as_done_points) moment_.still_h += hours;
        const Truth truth = vessel_.truth();
        moment_.gauge_kpa = truth.gauge_kpa;
        moment_.co2_volumes = truth.co2_volumes;
        if (moment_.relief_has_lifted) moment_.since_lift_h += hours;
        moment_.relief_has_lifted = moment_.relief_has_lifted || truth.relief_open;
    }

    void act() {
        const auto& acts = tape_.script.acts;
        while (next_ < acts.size() && acts[next_].when(moment_)) {
            const Act& act = acts[next_++];
            act.deed(hands_);
            moment_.since_last_h = 0;
            Deed deed{tape_.end, act.name, act.told, {}, {now(), vessel_.outlook()}};
            if (act.hydrometer) deed.hydrometer_sg = vessel_.truth().sg + hydrometer_sigma_sg * eye_.normal();
            tape_.deeds.push_back(std::move(deed));
        }
    }

    [[nodiscard]] Truth now() const {
        Truth truth = vessel_.truth();
        truth.at = tape_.end;
        return truth;
    }

    void note() {
        const Truth truth = now();
        tape_.truths.push_back(truth);
        if (truth.at.time_since_epoch() % tape_.script.look_every == base::Duration{})
            tape_.looks.push_back({truth, vessel_.outlook()});
        for (Instrument& instrument : instruments_) {
            const auto reading = instrument.read(truth.at, shown(instrument.quantity(), truth));
            const bool is_dead =
                hands_.pressure_sensor_dead && instrument.quantity() == Quantity::head_pressure;
            const bool is_in_a_drawer = !hands_.yeast_is_in && instrument.quantity() == Quantity::gravity;
            if (reading && !is_dead && !is_in_a_drawer) tape_.readings.push_back(*reading);
        }
    }

    Tape tape_;
    Vessel vessel_;
    Hands hands_;
    Moment moment_;
    std::size_t next_ = 0;
    std::vector<Instrument> instruments_;
    virtual_vessel::Random eye_;
};

}  // namespace

Tape record(const Script& script) {
    return Play{script}.to_the_end();
}

const Truth& Tape::truth_at(Timestamp at) const {
    const auto after = std::ranges::upper_bound(truths, at, {}, &Truth::at);
    return after == truths.begin() ? truths.front() : *std::prev(after);
}

const Deed* Tape::deed(std::string_view name) const {
    const auto found = std::ranges::find(deeds, name, &Deed::name);
    return found == deeds.end() ? nullptr : &*found;
}

}  // namespace gyled::pressure_worlds
