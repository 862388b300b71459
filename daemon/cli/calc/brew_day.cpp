/// Strike liquor, heating, boil and dilution.

#include "daemon/brewing/brew_day.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "daemon/brewing/hydrometer.hpp"
#include "daemon/brewing/relief.hpp"
#include "daemon/brewing/water.hpp"
#include "daemon/cli/calc/sum.hpp"

namespace gyled::cli::calc {

using base::Unexpected;
namespace {

constexpr double litres_per_m3 = 1000;
constexpr double minutes_per_hour = 60;
constexpr double boil_c = 100;

/// Beyond these something was mistyped.
struct MashRanges {
    double ratio_min = 1.5, ratio_max = 10;   ///< kg of liquor per kg of malt: porridge, and barley water
    double mash_c_min = 30, mash_c_max = 85;  ///< an acid rest; no mash is hotter than its mash-out
};
constexpr MashRanges mashes;

double share(double percent) {
    return percent / 100;
}

/// Less than any heater leaves of its power.
constexpr double efficiency_min = 0.05;
std::optional<Complaint> no_heater(double efficiency) {
    if (efficiency >= efficiency_min) return std::nullopt;
    return Complaint{"efficiency", "is less than any heater's."};
}

double water_kg(double litres) {
    return litres * brewing::water_density_at_20_c / litres_per_m3;
}

/// A figure by the efficiency with which power reaches the liquor, and by its doubt.
template <class Function>
Figure by_efficiency(std::string_view name, Kind kind, double efficiency, Function sum) {
    return between(name, kind, sum(efficiency),
                   sum(std::max(efficiency - brewing::heating_efficiency_doubt, efficiency_min)),
                   sum(std::min(efficiency + brewing::heating_efficiency_doubt, 1.0)));
}

/// The grain and its liquor, or why they make no mash.
base::Result<brewing::Grist, Complaint> grist_of(const Given& given) {
    const double ratio = water_kg(given("liquor")) / given("grist");
    if (ratio < mashes.ratio_min || ratio > mashes.ratio_max)
        return Unexpected{
            Complaint{"liquor", fmt::format("{:.1f} kg of liquor per kg of malt is no mash.", ratio)}};
    const brewing::MaltHeat malt = brewing::malt_heat(given("moisture"));
    return brewing::Grist{given("grain"), ratio, malt.specific_heat, brewing::slaking_kj_per_kg(malt)};
}

std::string cold_vessel(const Site& site) {
    return "the vessel is as hot as its liquor; a cold one takes a further " +
           site.text(Kind::warming, brewing::cold_vessel_takes_c_min) + " to " +
           site.text(Kind::warming, brewing::cold_vessel_takes_c_max) + ", yours always the same";
}

Worked strike(const Given& given, const Site& site) {
    const auto mash = given.find("mash"), liquor = given.find("liquor-at");
    if (mash.has_value() == liquor.has_value())
        return Unexpected{Complaint{"mash", "give either --mash or --liquor-at."}};
    const auto grist = grist_of(given);
    if (!grist) return Unexpected{grist.error()};
    const double mash_c = mash ? *mash : brewing::mash_temperature_c(*liquor, *grist);
    const double liquor_c = liquor ? *liquor : brewing::strike_temperature_c(*mash, *grist);
    if (mash_c < mashes.mash_c_min || mash_c > mashes.mash_c_max)
        return Unexpected{
            Complaint{mash ? "mash" : "liquor-at", site.text(Kind::temperature, mash_c) + " is no mash."}};

    Answer answer;
    answer.figures = {
        mash ? within("strike_temperature", Kind::temperature, liquor_c, brewing::strike_doubt_c)
             : within("mash_temperature", Kind::temperature, mash_c, brewing::strike_doubt_c),
        exactly("fall_at_dough_in", Kind::warming, liquor_c - mash_c),
        exactly("rise_by_slaking", Kind::warming, brewing::slaking_rise_c(*grist)),
    };
    answer.assumed = {cold_vessel(site)};
    answer.cautions = {"Liquor this hot scalds: pour the grain in slowly, standing clear."};
    if (const double boils = brewing::boiling_point_c(site.ambient()); liquor_c >= boils)
        answer.refused = "liquor boils at " + site.text(Kind::temperature, boils) +
                         " here: take more of it, or warmer grain";
    return answer;
}

Worked heat_up(const Given& given, const Site& site) {
    const double from_c = given("from"), to_c = given("to");
    if (to_c <= from_c) return Unexpected{Complaint{"to", "is not above --from."}};
    if (const double boils = brewing::boiling_point_c(site.ambient()); to_c > boils)
        return Unexpected{
            Complaint{"to", "water boils at " + site.text(Kind::temperature, boils) + " here."}};
    const double efficiency = share(given("efficiency"));
    if (const auto complaint = no_heater(efficiency)) return Unexpected{*complaint};
    const auto heating = [&](double share_used) {
        return brewing::Heating{given("volume"), given("power"), share_used};
    };

    Answer answer;
    answer.figures = {
        by_efficiency("heating_time", Kind::minutes, efficiency,
                      [&](double e) { return brewing::heat_up_minutes(heating(e), from_c, to_c); }),
        by_efficiency("warming", Kind::warming_per_minute, efficiency,
                      [&](double e) { return brewing::heat_up_c_per_minute(heating(e)); }),
    };
    answer.assumed = {"the vessel itself takes up no heat: add a tenth for a heavy one"};
    answer.cautions = {"Half that fast or less: an element or a probe is at fault."};
    answer.cautions.push_back(to_c > brewing::heat_only_open_above_c
                                  ? "Above " + site.text(Kind::temperature, brewing::heat_only_open_above_c) +
                                        " heat only what is open to the air: a shut vessel bursts."
                                  : std::string{"Hot liquor scalds; stay with it."});
    return answer;
}

Worked boil_off(const Given& given, const Site& site) {
    const double hours = given("time") / minutes_per_hour;
    const double efficiency = share(given("efficiency"));
    if (const auto complaint = no_heater(efficiency)) return Unexpected{*complaint};
    if (hours <= 0) return Unexpected{Complaint{"time", "is no time to boil."}};
    const double boils_c = brewing::boiling_point_c(site.ambient());
    const auto litres_off = [&](double share_used) {
        return brewing::boil_off_kg_per_hour(given("power") * share_used) * hours * litres_per_m3 /
               brewing::water_density_kell(boil_c);
    };
    const auto left = [&](double share_used) { return given("volume") - litres_off(share_used); };
    constexpr double dry_share = 0.25;
    if (left(std::min(efficiency + brewing::heating_efficiency_doubt, 1.0)) < dry_share * given("volume"))
        return Unexpected{Complaint{"time", "boils the kettle all but dry."}};

    Answer answer;
    answer.figures = {
        by_efficiency("boiled_off", Kind::volume, efficiency, litres_off),
        by_efficiency("volume_after", Kind::volume, efficiency, left),
        by_efficiency("volume_cooled", Kind::volume, efficiency,
                      [&](double e) { return brewing::litres_at(left(e), boil_c, 20); }),
    };
    if (const auto sg = given.find("gravity"))
        answer.figures.push_back(by_efficiency("gravity_after", Kind::gravity, efficiency, [&](double e) {
            return brewing::sg_after_volume_change(*sg, given("volume"), left(e));
        }));
    answer.figures.push_back(exactly("boiling_point", Kind::temperature, boils_c));
    answer.assumed = {"volumes are read at the boil, volume cooled at 20 °C",
                      "an open kettle; a lid holds much of it back"};
    answer.cautions = {
        "It boils over when nobody looks, and steam scalds. Never boil under a shut lid or vent."};
    return answer;
}

Worked dilution(const Given& given, const Site&) {
    const double target = given("target"), sg = given("gravity");
    if (target <= 1.0 + brewing::hydrometer_doubt_sg)
        return Unexpected{Complaint{"target", "is no more than water has."}};
    if (sg <= 1.0 + brewing::hydrometer_doubt_sg)
        return Unexpected{Complaint{"gravity", "is no more than water has."}};
    const auto litres = [&](double read) { return brewing::dilution_litres(read, given("volume"), target); };
    const double sign = litres(sg) < 0 ? -1 : 1;

    Answer answer;
    answer.figures = {
        between(sign < 0 ? "to_boil_off" : "water_to_add", Kind::volume, sign * litres(sg),
                sign * litres(sg - brewing::hydrometer_doubt_sg),
                sign * litres(sg + brewing::hydrometer_doubt_sg)),
        exactly("volume_after", Kind::volume, given("volume") + litres(sg)),
    };
    answer.assumed = {"wort without alcohol, all volumes at one temperature",
                      "a hydrometer read within a point"};
    return answer;
}

}  // namespace

std::vector<Sum> brew_day_sums() {
    return {
        {"strike",
         "how hot the liquor must be for a mash, or the mash that liquor gives",
         {{"mash", Kind::temperature, "wanted; or give --liquor-at", may_be_missing},
          {"liquor-at", Kind::temperature, "temperature of the liquor; or give --mash", may_be_missing},
          {"grain", Kind::temperature, "temperature of the grain"},
          {"liquor", Kind::volume, "volume of the liquor, cold"},
          {"grist", Kind::mass, "mass of the malt"},
          {"moisture", Kind::percent, "moisture of the malt", "4%"}},
         "heat balance; malt by Pauls and Whites Brewing Room Book 1984/85, slaking taken as a heat",
         true,
         strike},
        {"heat-up",
         "how long heating takes",
         {{"volume", Kind::volume, "volume of liquor or wort"},
          {"power", Kind::power, "power of the heater"},
          {"from", Kind::temperature, "where it begins"},
          {"to", Kind::temperature, "where it ends"},
          {"efficiency", Kind::percent, "share of the power that reaches the liquor", "90%"}},
         "m c dT / (P eta), water 4.186 kJ/(kg K); the efficiency is common practice",
         true,
         heat_up},
        {"boil-off",
         "what a boil takes away, and what it leaves",
         {{"volume", Kind::volume, "wort in the kettle, at the boil"},
          {"power", Kind::power, "power of the heater"},
          {"time", Kind::minutes, "how long it boils, as 60min"},
          {"gravity", Kind::gravity, "gravity before the boil", may_be_missing},
          {"efficiency", Kind::percent, "share of the power that makes steam", "90%"}},
         "heat of vaporisation 2257 kJ/kg; gravity points times volume stay; water's density by Kell 1975",
         true,
         boil_off},
        {"dilution",
         "how much water brings wort to a gravity, or must boil off",
         {{"gravity", Kind::gravity, "gravity of the wort"},
          {"volume", Kind::volume, "its volume"},
          {"target", Kind::gravity, "the gravity wanted"}},
         "gravity points times volume stay",
         false,
         dilution},
    };
}

}  // namespace gyled::cli::calc
