#pragma once
/// The second hydrometer: how much CO2 a shut vessel has made since it was shut, from its pressure alone.
///
/// Nothing of what the gravity says is in it, so that the two can be held against each other: a float that
/// sticks, gas that leaks and yeast that stops are told apart. One gravity point is half a volume, some 48
/// kPa with 21.5 L in 26 L at 18 degC, so that a transducer sees a hundredth of a point. What it is off by is
/// mostly one factor, that of solubility, head space and Balling's yield (5 %).
///
/// Beer at work is near equilibrium with the gas above it, and only then is the sum of both told by the
/// pressure: it counts anew after any gas was let off, and not across a change of temperature. A value;
/// single-threaded.

#include <optional>

#include "daemon/estimation/gas/gas_step.hpp"

namespace gyled::estimation::gas {

class GasMade {
public:
    explicit GasMade(const GasContext& context) : context_{context} {}

    /// In order of time. `shut`: nothing enters or leaves. `dry_kpa`: all gas above the beer but
    /// vapour, absolute; what of it is air stays, and so falls out of the difference.
    void take(const GasStep& step, bool shut, double dry_kpa);

    struct Made {
        base::Timestamp since;
        double volumes = 0;  ///< per litre of beer; hardly ever negative, and then by noise
    };
    /// As of the last step; nothing where the pressure tells nothing.
    [[nodiscard]] std::optional<Made> made() const;

private:
    [[nodiscard]] double volumes_in_all(double celsius, double dry_kpa) const;

    /// A time without a valve turned.
    struct Span {
        base::Timestamp since;
        double volumes, celsius;
        double most;  ///< of the volumes made
        double made;
    };
    GasContext context_;
    std::optional<Span> span_;
    std::optional<base::Timestamp> unsettled_until_;
};

}  // namespace gyled::estimation::gas
