/// Serving: line, what is left, and how long the cylinder lasts.

#include "daemon/brewing/serving.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "daemon/cli/calc/limit.hpp"
#include "daemon/cli/calc/sum.hpp"

namespace gyled::cli::calc {

using base::Pressure;
using base::Unexpected;
namespace {

/// Inner diameters in use.
struct Bore {
    std::string_view name;
    double mm;
};
constexpr std::array bores{Bore{"3/16in", 4.76}, Bore{"1/4in", 6.35}, Bore{"5/16in", 7.94},
                           Bore{"3/8in", 9.53},  Bore{"4mm", 4.0},    Bore{"5mm", 5.0},
                           Bore{"7mm", 7.0},     Bore{"10mm", 10.0}};

constexpr double line_doubt = 0.25;      ///< of the length (brewing/serving.hpp)
constexpr double tap_kpa = 7;            ///< that tap and fittings take: 1 psi (common practice)
constexpr double gauge_doubt_kpa = 0.5;  ///< of a fall between two readings of one gauge
constexpr double minutes_per_day = 24 * 60, g_per_kg = 1000;

std::vector<std::string_view> bore_names() {
    std::vector<std::string_view> out;
    for (const Bore& bore : bores) out.push_back(bore.name);
    return out;
}

double bore_mm(std::string_view name) {
    const auto found = std::ranges::find(bores, name, &Bore::name);
    return found == bores.end() ? bores.front().mm : found->mm;
}

Worked line(const Given& given, const Site& site) {
    if (!(given("pour") > 0))
        return Unexpected{Complaint{"pour", "is what runs in a minute: more than nothing."}};
    const double left_kpa = given("pressure") - brewing::lift_kpa(given("rise")) - tap_kpa;
    if (left_kpa <= 0)
        return Unexpected{Complaint{"pressure",
                                    "does not lift the beer to the tap: lower the tap, or chill the beer "
                                    "further and take the pressure that holds its gas then."}};
    const double per_metre = brewing::line_kpa_per_m(bore_mm(given.word("bore")), given("pour"));
    Answer answer;
    answer.figures = {
        within("line_length", Kind::length, left_kpa / per_metre, line_doubt * left_kpa / per_metre),
        exactly("resistance_per_metre", Kind::head_pressure, per_metre)};
    answer.assumed = {"a smooth line as cold as the beer; tap and fittings take 7 kPa"};
    answer.cautions = {
        "Begin with the longer one and cut it back. Never turn the pressure up to pour faster: it is what "
        "holds the gas in the beer."};
    judge(answer, "that is", given("pressure"), given, site, "turn it down");
    return answer;
}

Worked beer_left(const Given& given, const Site& site) {
    const double before = given("before"), after = given("after");
    if (after >= before)
        return Unexpected{Complaint{"after", "is not below --before: is the gas shut off while you pour?"}};
    if (!(given("poured") > 0)) return Unexpected{Complaint{"poured", "must be more than nothing."}};
    const auto head_space = [&](double fall_more) {
        const double fall = before - after + fall_more;
        const double end = Pressure::from_kpa_gauge(after, site.ambient()).kpa_absolute();
        return fall > 0 ? brewing::head_space_by_pour(given("poured"), end + fall, end) : HUGE_VAL;
    };
    const double vessel = given("holds");
    const auto left = [&](double fall_more) {
        return std::clamp(vessel - head_space(fall_more) - given("poured"), 0.0, vessel);
    };
    if (head_space(0) > vessel)
        return Unexpected{
            Complaint{"after",
                      "has fallen so little that the head space would be larger than the vessel: "
                      "pour more at once, with the gas shut off."}};
    Answer answer;
    answer.figures = {
        between("beer_left", Kind::volume, left(0), left(-gauge_doubt_kpa), left(gauge_doubt_kpa)),
        between("head_space_before", Kind::volume, head_space(0),
                std::min(head_space(-gauge_doubt_kpa), vessel), head_space(gauge_doubt_kpa))};
    answer.assumed = {"the gas is shut off, and both readings are taken within a minute or two",
                      "one gauge, whose fall is true to half a kPa"};
    answer.cautions = {"Open the gas again, or the beer goes flat."};
    judge(answer, "there stands", before, given, site, "let gas off before anything else");
    return answer;
}

Worked cylinder(const Given& given, const Site& site) {
    const double per_litre = brewing::co2_g_per_litre_poured(
        given("temperature"), Pressure::from_kpa_gauge(given("pressure"), site.ambient()));
    const double per_day = per_litre * given("per-day") + given.find("leak").value_or(0) * g_per_kg;
    if (!(per_day > 0))
        return Unexpected{Complaint{"per-day", "with nothing poured and no leak it lasts for ever."}};
    const double g = given("gas") * g_per_kg;
    Answer answer;
    answer.figures = {exactly("gas_per_litre", Kind::sugar_per_litre, per_litre),
                      exactly("litres_it_pours", Kind::volume, g / per_litre),
                      exactly("lasts", Kind::minutes, g / per_day * minutes_per_day)};
    answer.assumed = {"by its weight: the gauge of a CO2 cylinder stands still until the liquid is gone"};
    answer.cautions = {"CO2 kills in closed rooms: air the cellar, and keep a CO2 monitor in it.",
                       "A cylinder stands upright, chained, and away from heat."};
    judge(answer, "that is", given("pressure"), given, site, "turn it down");
    return answer;
}

std::vector<Argument> with_limits(std::vector<Argument> arguments) {
    for (Argument& argument : limit_arguments()) arguments.push_back(std::move(argument));
    return arguments;
}

}  // namespace

std::vector<Sum> serving_sums() {
    return {
        {"line", "how long a line balances the pressure",
         with_limits({{"pressure", Kind::head_pressure, "gauge, that the beer is served under"},
                      {"rise", Kind::length, "of the tap above the middle of the beer", "0m"},
                      {"bore", Kind::word, "inner diameter", "3/16in", bore_names()},
                      {"pour", Kind::volume, "that runs in a minute", "3L"}}),
         "Darcy and Weisbach with Blasius 1913 for a smooth tube, beer of 1.8 mPa s", false, line},
        {"beer-left", "what is left, from the fall of the pressure by a pour",
         with_limits({{"holds", Kind::volume, "what the vessel holds brimful"},
                      {"poured", Kind::volume, "with the gas shut off"},
                      {"before", Kind::head_pressure, "gauge, before"},
                      {"after", Kind::head_pressure, "gauge, after"}}),
         "Boyle", true, beer_left},
        {"cylinder", "how long the gas lasts",
         with_limits({{"gas", Kind::mass, "left in the cylinder: its weight less its tare"},
                      {"per-day", Kind::volume, "of beer poured a day"},
                      {"pressure", Kind::head_pressure, "gauge, that the beer is served under"},
                      {"temperature", Kind::temperature, "of the head space", "4C"},
                      {"leak", Kind::mass, "a day", may_be_missing}}),
         "each litre poured is replaced by a litre of gas; real gas (virial)", true, cylinder},
    };
}

}  // namespace gyled::cli::calc
