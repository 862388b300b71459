/// Carbonation by pressure and by priming.

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "daemon/brewing/atmosphere.hpp"
#include "daemon/brewing/packaging.hpp"
#include "daemon/brewing/solubility.hpp"
#include "daemon/cli/calc/limit.hpp"

namespace gyled::cli::calc {

using base::Pressure;
using base::Unexpected;
namespace {

/// Where the solubility holds.
struct CarbonationRanges {
    double celsius_min = -3, celsius_max = 30;
    double kpa_absolute_max = 500;
};
constexpr CarbonationRanges known;

/// Where the trade's chart was printed.
struct ChartRanges {
    double celsius_min = 0, celsius_max = 15.5;
    double volumes_min = 1.7, volumes_max = 3.3;
};
constexpr ChartRanges chart;

bool is_on_chart(double celsius, double volumes) {
    return celsius >= chart.celsius_min && celsius <= chart.celsius_max && volumes >= chart.volumes_min &&
           volumes <= chart.volumes_max;
}

std::optional<Complaint> out_of_range(std::string_view argument, double celsius, const Site& site) {
    if (celsius >= known.celsius_min && celsius <= known.celsius_max) return std::nullopt;
    return Complaint{std::string{argument}, fmt::format("the solubility is known from {} to {} only.",
                                                        site.text(Kind::temperature, known.celsius_min),
                                                        site.text(Kind::temperature, known.celsius_max))};
}

Worked pressure_for(double volumes, const Given& given, const Site& site) {
    const double celsius = given("temperature");
    const auto gauge = [&](double factor) {
        return brewing::pressure_for_volumes(celsius, volumes, factor).kpa_gauge(site.ambient());
    };
    const double kpa = gauge(brewing::beer_factor_typical);
    if (!(kpa + site.ambient().kpa_absolute() <= known.kpa_absolute_max))
        return Unexpected{
            Complaint{"volumes", "needs a pressure beyond what the sum holds for: cool the beer."}};
    if (kpa < 0)
        return Unexpected{Complaint{"volumes", "beer this cold holds more under the open sky alone."}};

    Answer answer;
    answer.figures = {between("head_pressure", Kind::head_pressure, kpa,
                              std::max(gauge(brewing::beer_factor_high), 0.0),
                              gauge(brewing::beer_factor_low))};
    if (is_on_chart(celsius, volumes))
        answer.figures.push_back(
            exactly("by_the_chart", Kind::head_pressure,
                    brewing::chart_pressure(celsius, volumes).kpa_gauge(site.ambient())));
    if (const auto bearable = bearable_kpa(given); bearable && kpa > *bearable)
        answer.figures = {
            exactly("at_most", Kind::carbonation,
                    brewing::volumes_in_beer(celsius, Pressure::from_kpa_gauge(*bearable, site.ambient())))};
    judge(answer, "that takes", kpa, given, site, "take colder beer or fewer volumes");
    return answer;
}

Worked volumes_at(double kpa, const Given& given, const Site& site) {
    const double celsius = given("temperature");
    const Pressure total = Pressure::from_kpa_gauge(kpa, site.ambient());
    if (total.kpa_absolute() > known.kpa_absolute_max || kpa < 0)
        return Unexpected{Complaint{
            "pressure", "the sum holds from 0 to " +
                            site.text(Kind::head_pressure, known.kpa_absolute_max - 100) + " gauge."}};
    const auto volumes = [&](double factor) { return brewing::volumes_in_beer(celsius, total, factor); };
    const double typical = volumes(brewing::beer_factor_typical);

    Answer answer;
    answer.figures = {between("carbonation", Kind::carbonation, typical, volumes(brewing::beer_factor_low),
                              volumes(brewing::beer_factor_high))};
    if (is_on_chart(celsius, typical))
        answer.figures.push_back(
            exactly("by_the_chart", Kind::carbonation, brewing::chart_volumes(celsius, total)));
    judge(answer, "that is", kpa, given, site, "turn it down");
    return answer;
}

Worked carbonation(const Given& given, const Site& site) {
    if (const auto complaint = out_of_range("temperature", given("temperature"), site))
        return Unexpected{*complaint};
    const auto volumes = given.find("volumes"), kpa = given.find("pressure");
    if (volumes.has_value() == kpa.has_value())
        return Unexpected{Complaint{"volumes", "give either --volumes or --pressure."}};
    Worked worked = volumes ? pressure_for(*volumes, given, site) : volumes_at(*kpa, given, site);
    if (!worked) return worked;
    Answer answer = *worked;
    answer.assumed.push_back(
        "beer and gas at equilibrium, which takes days without agitation; CO2 alone above the beer");
    if (const double shift = brewing::gauge_shift_kpa(site.ambient()); std::abs(shift) > 1)
        answer.assumed.push_back("a gauge here stands " + site.text(Kind::head_pressure, shift) +
                                 " above a sea-level chart for the same gas");
    answer.cautions.push_back("CO2 kills in closed rooms: air the cellar, and keep a CO2 monitor in it.");
    return answer;
}

using brewing::package_kinds;
using brewing::sugars;

template <class Table>
std::vector<std::string_view> names(const Table& table) {
    std::vector<std::string_view> out;
    for (const auto& [name, value] : table) out.push_back(name);
    return out;
}
template <class Table>
auto named(const Table& table, std::string_view name) {
    for (const auto& [each, value] : table)
        if (each == name) return value;
    const auto& [weakest, fallback] = table.front();
    return fallback;
}
double limit_of(std::string_view package) {
    return named(package_kinds, package);
}

constexpr double g_per_kg = 1000;
constexpr double storage_c_max = 40;  ///< as far as the solubility holds

std::vector<std::string> before_packaging() {
    return {
        "This is no word that it is safe to package. One reading proves nothing: the gravity must stand "
        "still over "
        "two to three days at fermentation temperature, and a mixed culture needs a forced ferment.",
        "Overcarbonated packages burst. Never prime scratched or unknown glass for more; keep it cool, "
        "behind a "
        "shield, and open one early."};
}

/// What sugar makes of the beer, volumes of CO2.
struct Primed {
    brewing::Package package;
    double g_per_litre;  ///< below 0: there is too much gas already
    double volumes;      ///< once all is fermented
    double at_worst;     ///< with the doubt of what was there, and a point that still ferments unseen
};
Primed primed(const Given& given, const Site& site) {
    const brewing::Package package{
        .residual_volumes = brewing::residual_volumes(given("warmest"), site.ambient()),
        .points_left = given("points-left"),
        .sugar = named(sugars, given.word("sugar"))};
    const double volumes = std::max(given("target"), brewing::final_volumes(package));
    return {package, brewing::priming_g_per_litre(given("target"), package), volumes,
            volumes + brewing::residual_volumes_doubt +
                brewing::volumes_per_gravity_point * brewing::terminal_gravity_doubt_points};
}

std::vector<Figure> sugar_figures(const Primed& beer, double litres) {
    const double per_volume = brewing::priming_g_per_litre_per_volume(beer.package.sugar);
    return {within("sugar", Kind::sugar_per_litre, beer.g_per_litre,
                   brewing::residual_volumes_doubt * per_volume),
            exactly("sugar_in_all", Kind::mass, beer.g_per_litre * litres / g_per_kg)};
}
std::vector<Figure> gas_figures(const Primed& beer, double storage_c, const Site& site) {
    const double warm_kpa = brewing::pressure_for_volumes(storage_c, beer.at_worst, brewing::beer_factor_low)
                                .kpa_gauge(site.ambient());
    return {exactly("gas_there_already", Kind::carbonation, brewing::final_volumes(beer.package)),
            between("carbonation", Kind::carbonation, beer.volumes,
                    beer.volumes - brewing::residual_volumes_doubt, beer.at_worst),
            exactly("pressure_when_warm_at_most", Kind::head_pressure, warm_kpa)};
}

/// Why not, when the kind of package should not hold so much.
std::string refusal(const Primed& beer, std::string_view package, const Site& site) {
    if (beer.volumes > limit_of(package))
        return fmt::format("{} is more than a package of this kind ({}) should hold: {}",
                           site.text(Kind::carbonation, beer.volumes), package,
                           site.text(Kind::carbonation, limit_of(package)));
    if (beer.g_per_litre < 0)
        return "there is, or will be, more gas than that already: add no sugar, and let it ferment out";
    return {};
}

Worked priming(const Given& given, const Site& site) {
    if (const auto complaint = out_of_range("warmest", given("warmest"), site)) return Unexpected{*complaint};
    if (given("storage") > storage_c_max)
        return Unexpected{Complaint{"storage", "nothing is kept that warm, and the sum does not hold."}};
    const Primed beer = primed(given, site);
    const double limit = limit_of(given.word("package"));

    Answer answer;
    answer.refused = refusal(beer, given.word("package"), site);
    if (answer.refused.empty()) answer.figures = sugar_figures(beer, given("volume"));
    for (Figure& figure : gas_figures(beer, given("storage"), site)) answer.figures.push_back(figure);
    answer.assumed = {
        "vented at --warmest since gas last left it, and all of the sugar ferments",
        "a point of gravity that still ferments unseen is half a volume: the upper end has one"};
    if (beer.volumes <= limit && beer.at_worst > limit)
        answer.cautions = {"With its doubt it passes " + site.text(Kind::carbonation, limit) +
                           ", the most for this kind of package: be sure that nothing is left to ferment, or "
                           "prime for less."};
    for (std::string& caution : before_packaging()) answer.cautions.push_back(std::move(caution));
    return answer;
}

template <class T>
std::vector<T> operator+(std::vector<T> a, const std::vector<T>& b) {
    a.insert(a.end(), b.begin(), b.end());
    return a;
}

}  // namespace

std::vector<Sum> carbonation_sums() {
    return {
        {"carbonation", "the pressure for volumes of CO2, or the volumes at a pressure",
         std::vector<Argument>{
             {"temperature", Kind::temperature, "temperature of the beer"},
             {"volumes", Kind::carbonation, "wanted; or give --pressure", may_be_missing},
             {"pressure", Kind::head_pressure, "gauge, that stands; or give --volumes", may_be_missing}} +
             limit_arguments(),
         "Weiss, Marine Chemistry 2 (1974) 203, times 0.95 (0.90 to 1.00) for beer; the trade's chart by its "
         "regression",
         true, carbonation},
        {"priming",
         "sugar for bottles or cans, and what they then hold",
         {{"target", Kind::carbonation, "volumes wanted"},
          {"warmest", Kind::temperature, "the warmest it was since gas last left it"},
          {"volume", Kind::volume, "volume of beer"},
          {"sugar", Kind::word, "what is added", "sucrose", names(sugars)},
          {"points-left", Kind::points, "gravity points still to ferment", "0"},
          {"package", Kind::word, "what it goes into", "unknown", names(package_kinds)},
          {"storage", Kind::temperature, "the warmest it will be kept", "30C"}},
         "stoichiometry of fermentation; gas there already by Weiss 1974 times 0.95; limits of packages: "
         "common practice",
         true,
         priming},
    };
}

}  // namespace gyled::cli::calc
