#pragma once
/// What a tightness test has found so far: pass, fail, or not yet known. Pure functions, any thread.

#include <optional>
#include <string>

#include "daemon/alarms/situation.hpp"
#include "daemon/display/display.hpp"

namespace gyled::alarms {

enum class TightnessVerdict : std::uint8_t { not_yet_known, tight, leaks };
[[nodiscard]] std::string_view name(TightnessVerdict verdict);

struct TightnessFinding {
    base::Estimate kpa_per_hour;   ///< lost; below 0: gained
    base::Estimate co2_g_per_day;  ///< the same in grams, were all of it CO2
    base::Duration over{};
    TightnessVerdict verdict{};
    std::string_view because;  ///< why it cannot be known, when it is not a matter of time; static text
};

/// By the interval's unsafe end: tight when all of it lies below the limit (1 g of CO2 a day), leaking when
/// all of it lies above. Liquid in the vessel takes up gas, so that a fall proves no leak; beer that holds
/// more gas than the pressure asks for gives some off, so that no fall proves no tightness. Nothing in other
/// stages, and until there is something to say.
[[nodiscard]] std::optional<TightnessFinding> tightness_finding(const Situation& now);
/// "In 6 h head pressure lost 0.4 (0.1 to 0.7) kPa an hour, ..., with the temperature taken out of it: ..."
[[nodiscard]] std::string tightness_text(const TightnessFinding& finding, const display::Display& display);

}  // namespace gyled::alarms
