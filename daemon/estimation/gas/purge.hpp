#pragma once
/// Purges as the gauge shows them: the head space is filled with CO2 and let off, several times in a row, to
/// be rid of its air. Seen on raw readings, for a cycle takes a minute.
///
/// Plain values, gauge kPa, event time. A value; single-threaded.

#include <optional>

#include "daemon/base/time.hpp"

namespace gyled::estimation::gas {

struct PurgeWatchParameters {
    double filled_kpa = 25.0;    ///< gauge: a cycle begins above
    double let_off_share = 0.4;  ///< of the pressure it was filled to: a cycle ends below
    base::Duration lets_off_within = std::chrono::minutes{5};  ///< of the peak: uptake and leaks are slower
    base::Duration ends_after = std::chrono::minutes{10};      ///< without another letting off
    int cycles_min = 2;                                        ///< once is a vessel being opened
};

class PurgeWatch {
public:
    /// What is remembered between readings; plain, for the store.
    struct Memory {
        std::optional<base::Timestamp> at{};  ///< of the newest reading
        double peak_kpa = 0;                  ///< of the filling under way; 0: none
        base::Timestamp peak_at{};
        int cycles = 0;                   ///< of the purge under way
        base::Timestamp first{}, last{};  ///< letting off
        friend bool operator==(const Memory&, const Memory&) = default;
    };
    struct Purge {
        base::Timestamp at;  ///< of the first letting off
        int cycles;
    };

    /// A reading, in order; older ones than the newest, and what is not finite, are ignored.
    void add(base::Timestamp at, double kpa);
    /// A purge that has ended by `now`, once.
    [[nodiscard]] std::optional<Purge> take(base::Timestamp now);

    [[nodiscard]] const Memory& memory() const { return memory_; }
    void restore(const Memory& memory) { memory_ = memory; }
    /// The clock was set by so much: what was seen keeps its age.
    void shift(base::Duration by);

private:
    Memory memory_;
};

}  // namespace gyled::estimation::gas
