#pragma once
/// What the shape of the head pressure tells of the relief valve: it rises to where the valve opens, falls at
/// once to where it seats again, and rises anew. So its true figures are learnt, whatever is stamped on it.
///
/// Plain values, gauge kPa, event time. **The relief valve protects, this does not.**

#include <optional>

#include "daemon/base/time.hpp"

namespace gyled::estimation::gas {

/// What a relief valve has done in one run of openings: within a day of each other.
struct ReliefHistory {
    int count = 0;                ///< openings; none: it has not been seen to open
    base::Timestamp first, last;  ///< of them
    double opens_kpa = 0;         ///< mean of the pressures at which it opened
    double reseats_kpa = 0;       ///< likewise, at which it seated
    friend bool operator==(const ReliefHistory&, const ReliefHistory&) = default;
};

struct ReliefWatchParameters {
    base::Duration gap_most = std::chrono::minutes{30};  ///< between readings: beyond, nobody saw the shape
    base::Duration fall_within = std::chrono::minutes{20};  ///< of the peak: cooling and uptake take longer
    base::Duration run_gap = std::chrono::hours{24};        ///< after it the next opening begins a new count
    double fall_share =
        0.015;  ///< of the mark: valves seat 4 to 15 % below opening, soft seats 2 (common practice)
    double fall_min_kpa = 2.0;  ///< kPa, above the noise of ordinary transducers
    double fall_sigmas = 6.0;   ///< of this transducer's own noise
    double held_kpa = 0.5;      ///< kPa: not fallen by more between readings, it has seated
    double seats_share_min =
        0.75;  ///< of the mark: what falls lower was let off by hand (twice the widest blowdown)
    double noise_memory = 0.95;      ///< per reading
    double noise_kpa2_start = 0.25;  ///< kPa squared, until it is learnt
    double noise_kpa2_min = 0.01;    ///< kPa squared: a transducer's resolution
    double noise_growth =
        4.0;  ///< one bend teaches no more than so many times what was known: a fall is no noise
};

/// Whole memory of the watch over one vessel's valve; a restart takes it up. Copyable, single-threaded.
class ReliefWatch {
public:
    /// What is remembered between readings; plain, for the store.
    struct Memory {
        ReliefHistory history;
        std::optional<base::Timestamp> at{};                           ///< of the newest reading
        double kpa = 0, before_kpa = 0;                                ///< the two newest
        double noise_kpa2 = ReliefWatchParameters{}.noise_kpa2_start;  ///< variance of one reading
        double peak_kpa = 0, lowest_kpa = 0;
        base::Timestamp peak_at{};
        bool falls = false;  ///< at once, from a pressure at which the valve may open
        friend bool operator==(const Memory&, const Memory&) = default;
    };

    /// A reading, in order; older ones than the newest, and what is not finite, are ignored. `mark_kpa`: of
    /// the relief valve; without one nothing is told.
    void add(base::Timestamp at, double kpa, std::optional<double> mark_kpa);

    /// Nothing when it has not been seen to open for a day.
    [[nodiscard]] std::optional<ReliefHistory> history() const;
    /// Is the pressure falling as if the valve were open?
    [[nodiscard]] bool is_falling() const { return memory_.falls; }
    [[nodiscard]] const Memory& memory() const { return memory_; }
    void restore(const Memory& memory) { memory_ = memory; }
    /// The clock was set by so much: what was seen keeps its age.
    void shift(base::Duration by);

private:
    void begin(base::Timestamp at, double kpa);
    void rise(base::Timestamp at, double kpa, double mark_kpa);
    void fall(double kpa, double mark_kpa);
    void count();

    Memory memory_;
};

}  // namespace gyled::estimation::gas
