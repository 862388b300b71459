#pragma once
/// The worlds that the targets are measured on, by name. Each seed draws its own vessel, beer, yeast, room
/// and instruments.

#include <span>
#include <string_view>

#include "tests/simulation/pressure/truth/script.hpp"

namespace gyled::pressure_worlds {

struct Kind {
    std::string_view name;
    Script (*make)(std::uint64_t seed);
    double per_seed = 1;  ///< worlds for each seed that is asked for: rare faults need many healthy ones
};

[[nodiscard]] std::span<const Kind> kinds();

// By what is going on in them.
[[nodiscard]] std::span<const Kind> fermenting_kinds();
[[nodiscard]] std::span<const Kind> supplied_kinds();
[[nodiscard]] std::span<const Kind> known_kinds();
[[nodiscard]] std::span<const Kind> troubled_kinds();
[[nodiscard]] std::span<const Kind> healthy_kinds();

}  // namespace gyled::pressure_worlds
