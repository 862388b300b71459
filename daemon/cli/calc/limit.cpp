#include "daemon/cli/calc/limit.hpp"

#include "daemon/brewing/relief.hpp"

namespace gyled::cli::calc {

std::vector<Argument> limit_arguments() {
    return {
        {"rating", Kind::rating, "of the weakest part: plate, sight glass, hose or gauge", may_be_missing},
        {"relief", Kind::rating, "what the relief valve is set to", may_be_missing}};
}

std::optional<double> bearable_kpa(const Given& given) {
    const auto rating = given.find("rating"), relief = given.find("relief");
    if (rating) return brewing::bearable_kpa(*rating, relief);
    if (relief) return brewing::may_open_from_kpa(*relief);
    return std::nullopt;
}

void judge(Answer& answer, const std::string& lead, double kpa_gauge, const Given& given, const Site& site,
           const std::string& way_out) {
    const auto bearable = bearable_kpa(given);
    if (bearable && kpa_gauge > *bearable)
        answer.refused = lead + " " + site.text(Kind::head_pressure, kpa_gauge) + ", and no more than " +
                         site.text(Kind::head_pressure, *bearable) +
                         " may be meant to stand there (weakest part, relief valve): " + way_out;
    answer.cautions.push_back(
        bearable ? "The plate, a tested relief valve and local codes decide, not this sum."
                 : "Not held against a rating: --rating does that. Never above what the weakest part bears.");
}

}  // namespace gyled::cli::calc
