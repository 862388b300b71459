#pragma once
/// The instruments on the vessel: truth in, readings with all their faults out.

#include <optional>
#include <utility>
#include <vector>

#include "sensors/virtual_vessel/plant/plant.hpp"
#include "sensors/virtual_vessel/plant/random.hpp"

namespace gyled::virtual_vessel {

/// One reading as it reaches the broker. `taken` is what the sensor's own clock says, which may be wrong.
struct Sample {
    Timestamp arrival{};
    Timestamp taken{};
    Quantity quantity = Quantity::beer_temperature;
    double value = 0;  ///< canonical unit
    friend bool operator==(const Sample&, const Sample&) = default;
};

/// All the instruments of a scenario. Deterministic from the scenario's seed. Single-threaded.
class Instruments {
public:
    /// `scenario` must be one that a Plant accepts.
    explicit Instruments(const Scenario& scenario);

    /// What arrives since the last call, ordered by arrival. Call at least as often as the shortest cadence:
    /// a reading shows the truth at the moment of the call in which it falls due.
    [[nodiscard]] std::vector<Sample> sample(const Plant& plant);

    /// Silences instruments (all when none is named) from `from` for `span`: readings within are lost.
    void drop_out(std::optional<Quantity> which, Timestamp from, Duration span);
    /// Ends every such silence; a trouble of another kind changes nothing.
    void speak_again(TroubleKind ended);

private:
    struct Probe {
        SensorOptions options;
        Random random;
        Timestamp due{};
        std::vector<Sample> kept;  ///< taken but not delivered
        std::vector<std::pair<Timestamp, Timestamp>> silences;
    };
    void read(Probe& probe, const Truth& truth, Timestamp at);
    void deliver(Probe& probe, Timestamp now, std::vector<Sample>& out) const;

    Timestamp begin_;
    std::vector<Probe> probes_;
};

/// A whole scenario at once: everything that arrives, and the truth each `truth_every`.
struct Recording {
    std::vector<Sample> samples;  ///< by arrival
    std::vector<Truth> truths;    ///< the first at the beginning, the last at the end
};
[[nodiscard]] Recording record(const Scenario& scenario, Duration truth_every = std::chrono::minutes{15});

}  // namespace gyled::virtual_vessel
