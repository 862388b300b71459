#pragma once
/// The instruments: truth in, readings with all their faults out.
///
/// A float's faults are of the size that findings on real ones have: white noise of 0.6 to 1.2 points, a
/// wander of 0.7 over five hours while the yeast works, 1.5 of offset and 0.8 of drift in ten days, steps of
/// 0.1 to 1 point, one reading in a hundred wild, a night without a broker; in one batch of four krausen or
/// hops sit on it, and it feels some of the warmth. A hydrometer is read to 0.5 points and is off by 0.5
/// (common practice).

#include "sensors/virtual_vessel/plant/random.hpp"
#include "tests/simulation/ferments/truth/world.hpp"

namespace gyled::ferment_worlds {

using virtual_vessel::Random;

struct Instruments {
    std::optional<double> float_every_h = 0.25;  ///< none: no float
    std::optional<double> hydrometer_every_h;  ///< a sample by hand; every other day beside a float, or none
    std::optional<double> forced_at_h{};  ///< when a forced ferment has ended: up to a point below the batch
};

/// Readings of thermometer, float and hydrometer for a world whose quarters stand.
void read(World& world, const Instruments& instruments, Random random);

}  // namespace gyled::ferment_worlds
