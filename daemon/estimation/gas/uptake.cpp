#include "daemon/estimation/gas/uptake.hpp"

#include <cmath>

#include "daemon/brewing/dissolution.hpp"
#include "daemon/estimation/gas/parameters.hpp"

namespace gyled::estimation::gas {
namespace {

constexpr UptakeParameters uptake;

/// Of the vessel's mean, with the batch's litres.
UptakeBelief vessel_prior(const std::optional<LearnedUptake>& learned, double beer_litres) {
    if (learned && is_usable(*learned))
        return {std::log(learned->litres_per_h / beer_litres), learned->log_sigma * learned->log_sigma};
    const brewing::KlaPrior& still = brewing::kla_prior(brewing::GassingMethod::head_space_still);
    const double sigma = std::log(still.high / still.low) / (2 * GasPriorParameters{}.still_sigmas);
    return {std::log(still.low * still.kla_per_hour * still.high) / 3, sigma * sigma};
}

LearnedUptake learned_from(const UptakeBelief& vessel, double beer_litres, int batches) {
    return {LearnedUptake::current_edition, batches, std::exp(vessel.log_kla) * beer_litres,
            std::sqrt(vessel.variance)};
}

}  // namespace

bool is_usable(const LearnedUptake& learned) {
    return learned.edition == LearnedUptake::current_edition && learned.batches > 0 &&
           learned.litres_per_h >= uptake.litres_per_h_min &&
           learned.litres_per_h <= uptake.litres_per_h_max && learned.log_sigma > 0 &&
           learned.log_sigma <= uptake.log_sigma_max;
}

UptakeBelief uptake_prior(const std::optional<LearnedUptake>& learned, double beer_litres) {
    UptakeBelief prior = vessel_prior(learned, beer_litres);
    if (learned && is_usable(*learned)) prior.variance += uptake.between_batches * uptake.between_batches;
    return prior;
}

std::optional<LearnedUptake> joined(const std::optional<LearnedUptake>& learned, const UptakeBelief& found,
                                    double beer_litres) {
    const double between = uptake.between_batches * uptake.between_batches;
    const UptakeBelief vessel = vessel_prior(learned, beer_litres),
                       prior = uptake_prior(learned, beer_litres);
    const double off = found.log_kla - prior.log_kla;
    const bool knew = learned && is_usable(*learned);
    if (knew && off * off > uptake.changed_z2 * (prior.variance + found.variance))
        return joined(std::nullopt, found, beer_litres);
    if (!(found.variance > 0) || found.variance > uptake.sharper * prior.variance) return std::nullopt;
    if (!knew) return learned_from({found.log_kla, found.variance + between}, beer_litres, 1);
    const double news = 1 / found.variance - 1 / prior.variance;
    const double seen = (found.log_kla / found.variance - prior.log_kla / prior.variance) / news;
    const double gain = vessel.variance / (vessel.variance + between + 1 / news);
    return learned_from({vessel.log_kla + gain * (seen - vessel.log_kla), (1 - gain) * vessel.variance},
                        beer_litres, learned->batches + 1);
}

}  // namespace gyled::estimation::gas
