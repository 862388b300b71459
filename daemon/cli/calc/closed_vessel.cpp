/// A vessel with its valves shut: warming, crashing, fermenting on.

#include "daemon/brewing/sealed_vessel.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/packaging.hpp"
#include "daemon/cli/calc/limit.hpp"

namespace gyled::cli::calc {

using base::Pressure;
using base::Unexpected;
using brewing::GasState;
using brewing::SealedVessel;
namespace {

/// Where the sum of a sealed vessel holds.
struct SealedRanges {
    double celsius_min = 0, celsius_max = 40;
    double kpa_gauge_max = 900;
};
constexpr SealedRanges sealed_known;

SealedVessel vessel_of(const Given& given) {
    return {given("beer"), given("head-space")};
}
GasState state_of(const Given& given, const Site& site, std::string_view temperature) {
    return {given(temperature), Pressure::from_kpa_gauge(given("pressure"), site.ambient())};
}

std::optional<Complaint> out_of_range(const Given& given, const Site& site,
                                      std::initializer_list<std::string_view> temperatures) {
    for (const std::string_view name : temperatures)
        if (given(name) < sealed_known.celsius_min || given(name) > sealed_known.celsius_max)
            return Complaint{std::string{name},
                             fmt::format("the sum holds from {} to {}.",
                                         site.text(Kind::temperature, sealed_known.celsius_min),
                                         site.text(Kind::temperature, sealed_known.celsius_max))};
    if (given("pressure") < 0 || given("pressure") > sealed_known.kpa_gauge_max)
        return Complaint{"pressure", "the sum begins between 0 and " +
                                         site.text(Kind::head_pressure, sealed_known.kpa_gauge_max) +
                                         " gauge."};
    return std::nullopt;
}

/// A forecast of a gauge pressure, with the doubt of its absolute one.
Figure pressure_figure(std::string_view name, Pressure p, const Site& site) {
    return within(name, Kind::head_pressure, p.kpa_gauge(site.ambient()),
                  brewing::sealed_vessel_doubt * p.kpa_absolute());
}

void caution_of_room(Answer& answer, const SealedVessel& vessel) {
    if (100 * vessel.headspace_litres < brewing::headspace_percent_min * vessel.beer_litres)
        answer.cautions.push_back(
            "Hardly any head space: beer swells as it warms, and liquid bursts what holds it. Keep 5 %.");
}

constexpr const char* equilibrium = "beer and gas at equilibrium, before and after; CO2 alone above the beer";

Worked warm_up(const Given& given, const Site& site) {
    if (const auto complaint = out_of_range(given, site, {"from", "to"})) return Unexpected{*complaint};
    if (given("to") <= given("from"))
        return Unexpected{Complaint{"to", "is not above --from; cooling is `crash`."}};
    const SealedVessel vessel = vessel_of(given);
    const Pressure warm = brewing::pressure_after(vessel, state_of(given, site, "from"), given("to"));
    const double swells_litres =
        brewing::liquid_expansion_percent(given("from"), given("to")) / 100 * vessel.beer_litres;

    Answer answer;
    answer.figures = {pressure_figure("pressure_when_warm", warm, site),
                      exactly("swells_by", Kind::volume, swells_litres)};
    answer.assumed = {equilibrium,
                      "all valves shut, and nothing left to ferment: with sugar left ask `closed`"};
    caution_of_room(answer, vessel);
    if (swells_litres >= vessel.headspace_litres)
        answer.refused =
            "the beer swells more than the head space holds, and bursts the vessel: let some out first";
    judge(answer, "it may come to", answer.figures.front().value.high, given, site,
          "keep it cold, or let gas off while it warms");
    return answer;
}

Worked crash(const Given& given, const Site& site) {
    if (const auto complaint = out_of_range(given, site, {"from", "to"})) return Unexpected{*complaint};
    if (given("to") >= given("from"))
        return Unexpected{Complaint{"to", "is not below --from; warming is `warm-up`."}};
    const SealedVessel vessel = vessel_of(given);
    const GasState before = state_of(given, site, "from");
    const Pressure cold = brewing::pressure_after(vessel, before, given("to"));

    Answer answer;
    answer.figures = {
        pressure_figure("pressure_when_cold", cold, site),
        exactly("in_the_first_hours", Kind::head_pressure,
                brewing::pressure_after_gas_only(before, given("to")).kpa_gauge(site.ambient())),
        exactly("begin_at_for_no_vacuum", Kind::head_pressure,
                brewing::pressure_after(vessel, {given("to"), site.ambient()}, given("from"))
                    .kpa_gauge(site.ambient())),
    };
    answer.assumed = {equilibrium,
                      "all valves shut; a vent that is open draws in air instead, and oxygen with it"};
    if (cold.kpa_gauge(site.ambient()) < 0)
        answer.cautions.push_back(
            "It draws a vacuum, and thin walls buckle: supply CO2 at a low pressure while it cools. The "
            "first hours look harmless.");
    if (const auto bearable = bearable_kpa(given); !bearable || answer.figures.back().value.value > *bearable)
        answer.figures.pop_back();
    judge(answer, "there stands", given("pressure"), given, site, "let gas off before anything else");
    return answer;
}

Worked closed(const Given& given, const Site& site) {
    if (const auto complaint = out_of_range(given, site, {"temperature", "warmest"}))
        return Unexpected{*complaint};
    if (given("final") > given("present")) return Unexpected{Complaint{"final", "is above --present."}};
    if (given("present") > given("original")) return Unexpected{Complaint{"present", "is above --original."}};
    const SealedVessel vessel = vessel_of(given);
    const GasState now = state_of(given, site, "temperature");
    const double held = brewing::co2_mol(vessel, now) * brewing::normal_molar_volume / vessel.beer_litres;
    const auto ends_at = [&](double celsius, double points_more) {
        const double final_sg = given("final") - brewing::sg_from_points(points_more) + 1;
        const double gained =
            std::max(brewing::co2_volumes_from_drop({given("original"), given("present"), final_sg}), 0.0);
        return brewing::settled_co2_kpa(vessel, held + gained, celsius) +
               brewing::vapour_pressure(celsius).kpa_absolute();
    };
    const auto figure = [&](std::string_view name, double celsius) {
        constexpr double wrong = brewing::terminal_gravity_doubt_points, share = brewing::sealed_vessel_doubt;
        const double ambient = site.ambient().kpa_absolute();
        return between(name, Kind::head_pressure, ends_at(celsius, 0) - ambient,
                       (1 - share) * ends_at(celsius, -wrong) - ambient,
                       (1 + share) * ends_at(celsius, wrong) - ambient);
    };

    Answer answer;
    answer.figures = {figure("ends_at", given("temperature")),
                      figure("ends_at_when_warmest", given("warmest"))};
    answer.assumed = {
        "shut from now on, and it ferments to --final, within a point: a point is half a volume",
        "CO2 alone above the beer, at equilibrium"};
    caution_of_room(answer, vessel);
    judge(answer, "it may come to", std::max(answer.figures[0].value.high, answer.figures[1].value.high),
          given, site, "leave it open, or spunded, until less is left");
    return answer;
}

std::vector<Argument> with_limits(std::vector<Argument> arguments) {
    for (Argument& argument : limit_arguments()) arguments.push_back(std::move(argument));
    return arguments;
}

constexpr std::string_view sealed_source =
    "what beer and head space hold stays: Weiss 1974 times 0.95 for beer, real gas (virial); good to some 10 "
    "%";

}  // namespace

std::vector<Sum> closed_vessel_sums() {
    const Argument beer{"beer", Kind::volume, "volume of beer"};
    const Argument head_space{"head-space", Kind::volume, "volume above it"};
    return {
        {"warm-up", "the pressure when a closed vessel warms",
         with_limits({beer,
                      head_space,
                      {"pressure", Kind::head_pressure, "gauge, before"},
                      {"from", Kind::temperature, "temperature before"},
                      {"to", Kind::temperature, "temperature after"}}),
         sealed_source, true, warm_up},
        {"crash", "the pressure, or vacuum, when a closed vessel is cooled",
         with_limits({beer,
                      head_space,
                      {"pressure", Kind::head_pressure, "gauge, before"},
                      {"from", Kind::temperature, "temperature before"},
                      {"to", Kind::temperature, "temperature after"}}),
         sealed_source, true, crash},
        {"closed", "where a vessel ends that is shut with sugar left",
         with_limits({beer,
                      head_space,
                      {"temperature", Kind::temperature, "temperature of the beer"},
                      {"original", Kind::gravity, "gravity before it fermented"},
                      {"present", Kind::gravity, "gravity now"},
                      {"final", Kind::gravity, "gravity expected at the end"},
                      {"pressure", Kind::head_pressure, "gauge, now", "0 bar"},
                      {"warmest", Kind::temperature, "how warm it could get if cooling failed", "25C"}}),
         "Balling's CO2 on top of what is held (Weiss 1974 times 0.95, real gas); good to some 10 % and a "
         "point of gravity",
         true, closed},
    };
}

}  // namespace gyled::cli::calc
