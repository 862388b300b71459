#include "daemon/alarms/tightness.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "daemon/brewing/tightness.hpp"

namespace gyled::alarms {
namespace {

using base::Quantity;

struct TightnessLimits {
    double co2_g_per_day = 1.0;  ///< a batch of 21 L in condition loses 0.17 volumes a week by it: less than
                                 ///< a person tastes before the vessel is empty
};
constexpr TightnessLimits limits;

constexpr std::array<std::string_view, 3> verdict_names{"not_yet_known", "tight", "leaks"};

double gas_litres(const Situation& now) {
    return std::max(0.0, now.total_volume_l - (now.is_filled ? now.volume_l : 0.0));
}

/// Does the beer hold more than the pressure keeps in it?
bool may_give_off_gas(const Situation& now) {
    const auto held = now.estimates.find(Quantity::co2_volumes);
    const auto kept = now.estimates.find(Quantity::co2_equilibrium_volumes);
    if (held == now.estimates.end() || kept == now.estimates.end()) return false;
    return held->second.high > kept->second.low;
}

void doubt_because_of_the_liquid(TightnessFinding& finding, const Situation& now) {
    if (finding.verdict == TightnessVerdict::leaks)
        finding.because = "what is in the vessel takes up gas, too. Test it empty, or look with soapy water";
    else if (finding.verdict == TightnessVerdict::tight && may_give_off_gas(now))
        finding.because =
            "the beer may give off gas and hide a leak. Test it at a higher pressure, within the "
            "vessel's rating, or look with soapy water";
    if (!finding.because.empty()) finding.verdict = TightnessVerdict::not_yet_known;
}

}  // namespace

std::string_view name(TightnessVerdict verdict) {
    return verdict_names.at(static_cast<std::size_t>(verdict));
}

std::optional<TightnessFinding> tightness_finding(const Situation& now) {
    if (now.stage != base::StageKind::tightness || !now.tightness || !(gas_litres(now) > 0))
        return std::nullopt;
    const auto grams = [&](double mol) { return brewing::co2_g_per_day(mol, gas_litres(now)); };
    const base::Estimate& mol = now.tightness->mol_per_litre_hour;
    TightnessFinding finding{.kpa_per_hour = now.tightness->kpa_per_hour,
                             .co2_g_per_day = {grams(mol.value), grams(mol.low), grams(mol.high)},
                             .over = now.tightness->over,
                             .verdict = TightnessVerdict::not_yet_known,
                             .because = {}};
    if (finding.co2_g_per_day.high < limits.co2_g_per_day) finding.verdict = TightnessVerdict::tight;
    if (finding.co2_g_per_day.low > limits.co2_g_per_day) finding.verdict = TightnessVerdict::leaks;
    if (now.is_filled) doubt_because_of_the_liquid(finding, now);
    return finding;
}

std::string tightness_text(const TightnessFinding& finding, const display::Display& display) {
    const auto shown = [&](double kpa) { return display.span(Quantity::head_pressure, kpa); };
    const int decimals = display.decimals(Quantity::head_pressure) + 2;  // an hour's fall is a small one
    const base::Estimate& kpa = finding.kpa_per_hour;
    const base::Estimate& grams = finding.co2_g_per_day;
    std::string text = fmt::format(
        "Over {} it lost {:.{}f} {} an hour ({:.{}f} to {:.{}f}), changes of temperature taken out: "
        "{:.1f} g of CO2 a day ({:.1f} to {:.1f}); the limit is {:.1f}.",
        display::duration_text(finding.over), shown(kpa.value), decimals,
        display.unit_text(Quantity::head_pressure), shown(kpa.low), decimals, shown(kpa.high), decimals,
        grams.value, grams.low, grams.high, limits.co2_g_per_day);
    if (!finding.because.empty()) return text + " Not known: " + std::string{finding.because} + ".";
    if (finding.verdict == TightnessVerdict::not_yet_known) return text + " Not yet known: leave it shut.";
    return text + (finding.verdict == TightnessVerdict::tight ? " It is tight." : " It leaks.");
}

}  // namespace gyled::alarms
