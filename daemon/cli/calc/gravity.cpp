/// Alcohol and attenuation, refractometer, hydrometer.

#include <fmt/format.h>

#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/hydrometer.hpp"
#include "daemon/brewing/refractometer.hpp"
#include "daemon/cli/calc/sum.hpp"

namespace gyled::cli::calc {

using base::Unexpected;
namespace {

constexpr double read_wrong = brewing::hydrometer_doubt_sg;

/// The worts on which the equations were held against brews.
constexpr double checked_plato_min = 9, checked_plato_max = 18;

std::optional<Complaint> not_beer(double original_sg, double present_sg) {
    if (original_sg <= 1.0 + read_wrong) return Complaint{"original", "is no more than water has."};
    if (present_sg > original_sg) return Complaint{"present", "is above --original."};
    return std::nullopt;
}

void warn_beyond_checked(Answer& answer, double original_plato) {
    if (original_plato < checked_plato_min || original_plato > checked_plato_max)
        answer.assumed.push_back(
            "the equations hold beyond the worts of 9 to 18 °P on which they were checked");
}

Figure alcohol_figure(brewing::Gravities beer, double present_wrong) {
    const double value = brewing::alcohol_by_volume_percent(beer);
    const double low =
        brewing::alcohol_by_volume_percent({beer.original_sg - read_wrong, beer.present_sg + present_wrong});
    const double high =
        brewing::alcohol_by_volume_percent({beer.original_sg + read_wrong, beer.present_sg - present_wrong});
    return between("alcohol_by_volume", Kind::alcohol, value,
                   std::max(low - brewing::alcohol_doubt_percent, 0.0),
                   high + brewing::alcohol_doubt_percent);
}

/// A share of the extract gone, by the gravities and by their doubt.
template <class Percent>
Figure attenuation_figure(std::string_view name, brewing::Gravities beer, double present_wrong,
                          Percent percent) {
    const auto at = [&](double original_off, double present_off) {
        return percent(brewing::extracts_from(
            brewing::Gravities{beer.original_sg + original_off, beer.present_sg + present_off}));
    };
    return between(name, Kind::percent, at(0, 0), at(-read_wrong, present_wrong),
                   at(read_wrong, -present_wrong));
}

Figure apparent_figure(brewing::Gravities beer, double present_wrong) {
    return attenuation_figure("apparent_attenuation", beer, present_wrong, [](brewing::Extracts extracts) {
        return brewing::apparent_attenuation_percent(extracts);
    });
}

Worked alcohol(const Given& given, const Site&) {
    const brewing::Gravities beer{given("original"), given("present")};
    if (const auto complaint = not_beer(beer.original_sg, beer.present_sg)) return Unexpected{*complaint};
    const brewing::Extracts extracts = brewing::extracts_from(beer);
    const double real_plato = brewing::real_extract_of_brews_plato(extracts);

    Answer answer;
    answer.figures = {
        alcohol_figure(beer, read_wrong),
        exactly("alcohol_by_weight", Kind::alcohol, brewing::alcohol_by_weight_percent(beer)),
        apparent_figure(beer, read_wrong),
        attenuation_figure("real_attenuation", beer, read_wrong,
                           [](brewing::Extracts e) { return brewing::real_attenuation_percent(e); }),
        between("real_extract", Kind::extract, real_plato, brewing::real_extract_plato(extracts),
                2 * real_plato - brewing::real_extract_plato(extracts)),
    };
    answer.assumed = {"both gravities at 20 °C and without gas, each read within a point"};
    warn_beyond_checked(answer, extracts.original_plato);
    answer.cautions = {"Not for labels or duty: local codes ask for a laboratory's figure."};
    return answer;
}

Worked of_wort(double brix, double factor) {
    const auto sg = [&](double f) { return brewing::sg_from_plato(brewing::plato_of_wort(brix, f)); };
    Answer answer;
    answer.figures = {
        between("gravity", Kind::gravity, sg(factor), sg(factor + brewing::wort_correction_factor_doubt),
                sg(factor - brewing::wort_correction_factor_doubt)),
        exactly("extract", Kind::extract, brewing::plato_of_wort(brix, factor)),
    };
    answer.assumed = {"wort that has not begun to ferment: once it has, give --original"};
    return answer;
}

Worked refractometer(const Given& given, const Site&) {
    const double brix = given("reading"), factor = given("factor");
    const auto original_sg = given.find("original");
    if (!original_sg) return of_wort(brix, factor);
    const double original_plato = brewing::plato_from_sg(*original_sg);
    const brewing::Gravities beer{
        *original_sg, brewing::sg_from_plato(brewing::apparent_plato_of_beer(brix, original_plato, factor))};
    if (brewing::plato_of_wort(brix, factor) > original_plato + 0.5)
        return Unexpected{Complaint{"reading", "shows more than --original: nothing can have fermented."}};
    constexpr double lightest_sg = 0.985;
    if (beer.present_sg < lightest_sg)
        return Unexpected{Complaint{"reading", "is less than beer of --original can show."}};

    Answer answer;
    answer.figures = {
        within("gravity", Kind::gravity, beer.present_sg, brewing::refractometer_doubt_sg),
        alcohol_figure(beer, brewing::refractometer_doubt_sg),
        apparent_figure(beer, brewing::refractometer_doubt_sg),
    };
    answer.assumed = {"an original gravity that is right: a point there is half a point here"};
    warn_beyond_checked(answer, original_plato);
    answer.cautions = {"Never call beer finished, or fit to be packaged, by a refractometer alone."};
    return answer;
}

Worked hydrometer(const Given& given, const Site& site) {
    const double sample_c = given("sample");
    const double sg = brewing::sg_from_hydrometer(
        {.sg = given("reading"), .sample_c = sample_c, .calibrated_at_c = given("marked")});
    if (sample_c < 0 || sample_c > brewing::hydrometer_sample_c_max)
        return Unexpected{
            Complaint{"sample", "only " + site.text(Kind::temperature, 0) + " to " +
                                    site.text(Kind::temperature, brewing::hydrometer_sample_c_max) +
                                    " can be corrected: cool the sample."}};
    if (given("marked") < 0 || given("marked") > brewing::hydrometer_sample_c_max)
        return Unexpected{Complaint{"marked", "no stem is made for that."}};

    Answer answer;
    answer.figures = {
        within("gravity", Kind::gravity, sg,
               brewing::hydrometer_doubt_sg + brewing::hydrometer_correction_doubt_sg(sample_c)),
        exactly("correction", Kind::points, brewing::points_per_sg * (sg - given("reading"))),
    };
    answer.assumed = {"a glass stem, read within a point, in a sample without gas: bubbles lift it"};
    return answer;
}

}  // namespace

std::vector<Sum> gravity_sums() {
    return {
        {"alcohol",
         "alcohol and attenuation, apparent and real",
         {{"original", Kind::gravity, "gravity before it fermented"},
          {"present", Kind::gravity, "gravity now"}},
         "Balling, as examined by Cutaia, Reid and Speers, J. Inst. Brew. 115 (2009) 318",
         false,
         alcohol},
        {"refractometer",
         "the gravity behind a refractometer's reading, of wort or of beer",
         {{"reading", Kind::brix, "as read, degrees Brix at 20 °C"},
          {"original", Kind::gravity, "gravity before it fermented; left out: it has not begun to",
           may_be_missing},
          {"factor", Kind::correction_factor, "Brix shown per degree Plato of wort", "1.04"}},
         "refractive index of sugar and ethanol (CRC Handbook, from memory) bound by Balling's lines",
         false,
         refractometer},
        {"hydrometer",
         "the gravity of a warm or cold sample",
         {{"reading", Kind::gravity, "as read on the stem"},
          {"sample", Kind::temperature, "temperature of the sample"},
          {"marked", Kind::temperature, "the temperature printed on the stem", "20C"}},
         "water's density by Tanaka et al., Metrologia 38 (2001) 301; glass 25e-6 per K",
         false,
         hydrometer},
    };
}

}  // namespace gyled::cli::calc
