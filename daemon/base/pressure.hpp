#pragma once
/// Pressure that knows its zero.

#include <compare>

namespace gyled::base {

/// Absolute pressure. A gauge reading becomes a pressure only once the ambient is known, so the type asks for
/// it, and the two cannot be mixed up again.
class Pressure {
public:
    static constexpr Pressure from_kpa_absolute(double kpa) { return Pressure{kpa}; }
    static constexpr Pressure from_kpa_gauge(double kpa, Pressure ambient) {
        return Pressure{ambient.kpa_ + kpa};
    }
    [[nodiscard]] constexpr double kpa_absolute() const { return kpa_; }
    [[nodiscard]] constexpr double kpa_gauge(Pressure ambient) const { return kpa_ - ambient.kpa_; }
    friend constexpr auto operator<=>(Pressure, Pressure) = default;

private:
    explicit constexpr Pressure(double kpa) : kpa_{kpa} {}
    double kpa_;
};

/// The standard atmosphere: 101.325 kPa by definition.
inline constexpr Pressure standard_atmosphere = Pressure::from_kpa_absolute(101.325);

}  // namespace gyled::base
