#pragma once
/// A leak of a shut vessel. CO2 moves between beer and head space, but its sum cannot fall. When the sum that
/// fits the pressure now lies below what was surely there before, some has left: beer takes up gas until
/// equilibrium and no further.
///
/// Bounded: beside the reference runs one shadow population, the beer as it would be if the pressure fell
/// from outside. A value; single-threaded.

#include <optional>

#include "daemon/estimation/gas/particles.hpp"

namespace gyled::estimation::gas {

class LeakWatch {
public:
    /// Nobody can say any more what the sum should be.
    void forget() { reference_.reset(); }

    struct Leak {
        double missing_volumes;
        double hours;    ///< since the reference
        Particles beer;  ///< as it is when what fell was the gas
    };
    /// A step with the vessel shut, measured, and no yeast at work; in order. `weighed`: the particles have
    /// just been told apart by an innovation, so their sum is worth judging. A leak once it is certain; then
    /// the watch has forgotten its reference.
    std::optional<Leak> judge(const GasStep& step, const Particles& particles, const GasFlow& flow,
                              double beer_litres, double shut_hours, bool weighed);

private:
    /// The most CO2 that the shut vessel surely held at some time.
    struct Reference {
        double volumes_low;  // per litre of beer
        base::Timestamp at;
        Particles beer;  // followed since, under the pressure as measured
        int weighings_below = 0;
    };
    std::optional<Reference> reference_;
};

}  // namespace gyled::estimation::gas
