/// Ice in the vessel, CO2 in the room.

#include <fmt/format.h>

#include <array>

#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/carbon_dioxide.hpp"
#include "daemon/brewing/freezing.hpp"
#include "daemon/brewing/relief.hpp"
#include "daemon/cli/calc/sum.hpp"

namespace gyled::cli::calc {

using base::Unexpected;
namespace {

constexpr double room_c = 20;

Worked freezing(const Given& given, const Site& site) {
    const brewing::Gravities beer{given("original"), given("present")};
    if (beer.present_sg > beer.original_sg) return Unexpected{Complaint{"present", "is above --original."}};
    const double freezes_c = brewing::freezing_point_c(brewing::alcohol_by_weight_percent(beer),
                                                       brewing::extracts_from(beer).original_plato);
    Answer answer;
    answer.figures = {
        within("freezing_point", Kind::temperature, freezes_c, brewing::freezing_point_doubt_c)};
    answer.assumed = {"the coldest place counts: a jacket's wall, not the probe"};
    answer.cautions = {"Ice bursts a full, closed vessel: keep the coolant above " +
                       site.text(Kind::temperature, freezes_c + brewing::freezing_point_doubt_c) + "."};
    return answer;
}

/// The strictest that is passed, said in words.
std::string beyond(double ppm) {
    struct Limit {
        double ppm;
        const char* what;
    };
    static constexpr std::array limits{
        Limit{brewing::co2_ppm_dangerous_at_once, "immediately dangerous to life and health (NIOSH)"},
        Limit{brewing::co2_ppm_15_minutes_niosh, "above the limit for fifteen minutes (NIOSH, ACGIH)"},
        Limit{brewing::co2_ppm_15_minutes_hse, "above the limit for fifteen minutes (HSE EH40)"},
        Limit{brewing::co2_ppm_8_hours, "above the limit for eight hours (OSHA, HSE EH40)"}};
    for (const Limit& limit : limits)
        if (ppm >= limit.ppm) return limit.what;
    return {};
}

Worked co2_in_room(const Given& given, const Site&) {
    const brewing::Gravities beer{given("original"), given("final")};
    if (beer.present_sg > beer.original_sg) return Unexpected{Complaint{"final", "is above --original."}};
    const double grams =
        given("volume") * brewing::co2_evolved_g_per_litre_wort(brewing::extracts_from(beer));
    const double litres =
        grams / brewing::co2_molar_mass * brewing::molar_volume_litres(room_c, brewing::standard_atmosphere);
    const double ppm = brewing::co2_in_room_ppm(litres, given("room"));

    Answer answer;
    answer.figures = {exactly("gas_given_off", Kind::gas_volume, litres),
                      exactly("carbon_dioxide_in_air", Kind::ppm, ppm)};
    answer.assumed = {
        "a closed room, all of the gas left in it and mixed: the floor has more, and so has a pit",
        "on top of some 400 ppm that are in any air"};
    if (const std::string what = beyond(ppm); !what.empty())
        answer.cautions.push_back("That is " + what + ".");
    answer.cautions.push_back(
        "No figure here says that a room is safe. CO2 gives no warning and kills: vent outside, use a CO2 "
        "monitor with its own sounder, never go after somebody who has fallen.");
    return answer;
}

}  // namespace

std::vector<Sum> surroundings_sums() {
    return {
        {"freezing",
         "where beer begins to freeze",
         {{"original", Kind::gravity, "gravity before it fermented"},
          {"present", Kind::gravity, "gravity now"}},
         "-(0.42 alcohol by weight + 0.04 original extract + 0.2) °C, from memory of the trade's handbooks",
         false,
         freezing},
        {"co2-in-room",
         "what a ferment gives off into a closed room",
         {{"volume", Kind::volume, "volume of wort"},
          {"original", Kind::gravity, "gravity before it fermented"},
          {"final", Kind::gravity, "gravity at the end"},
          {"room", Kind::room, "volume of the room's air"}},
         "Balling's balance; limits of OSHA, NIOSH and HSE EH40",
         false,
         co2_in_room},
    };
}

}  // namespace gyled::cli::calc
