#include "daemon/estimation/gas/dissolved_gas.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "daemon/estimation/gas/forecast.hpp"
#include "daemon/estimation/gas/gas_path.hpp"
#include "daemon/estimation/gas/parameters.hpp"

namespace gyled::estimation::gas {
namespace {

using base::Estimate;
using base::Quantity;

constexpr GasFilterParameters filter;
constexpr GasReportParameters report;
constexpr base::Duration report_every = std::chrono::minutes{15};  // the grid of all estimates

bool ends_a_quarter(const GasStep& step) {
    return step.to.time_since_epoch() % report_every < step.to - step.from;
}

GasContext with_some_beer(GasContext context) {
    context.beer_volume_l = std::max(filter.litres_min, context.beer_volume_l);
    return context;
}

/// Without pressure a sealed vessel could hold anything.
bool is_known(const GasStep& step) {
    return step.head_kpa || step.head_space != base::HeadSpace::sealed;
}

}  // namespace

DissolvedGas::DissolvedGas(GasContext context)
    : context_{with_some_beer(context)}, particles_{context_}, head_space_{context_} {}

void DissolvedGas::inflate_covariance() {
    particles_.inflate_covariance();
    leak_.forget();
}

void DissolvedGas::measure(double volumes) {
    measure(volumes, filter.hand_sigma);
}

void DissolvedGas::measure(double volumes, double sigma) {
    if (!std::isfinite(volumes) || volumes < 0) return;
    particles_.measure(volumes, sigma);
    leak_.forget();
}

bool DissolvedGas::is_shut(const GasStep& step) const {
    const GasPathEvidence evidence{step.head_space,     step.set_kpa,
                                   step.head_kpa,       head_space_.rise_to(step.head_kpa),
                                   context_.relief_kpa, std::nullopt};
    // Near its mark the relief valve may let gas go, and a leak does: then the pressure is held from outside.
    return gas_path(evidence) == GasPath::shut && !leak_stands();
}

void DissolvedGas::step(const GasStep& step) {
    if (!(step.hours() > 0) || !std::isfinite(step.beer_c)) return;
    const bool shut = is_shut(step);
    const bool first = head_space_.is_new();
    head_space_.take(step, shut);
    if (first && context_.start == GasContext::Start::carbonated)
        particles_.start_carbonated(step.beer_c, head_space_.dry_kpa());

    const double volumes_before = particles_.mean_volumes();
    weighed_ = false;
    if (shut) {
        step_shut(step, was_shut_);
    } else {
        particles_.predict_held(step, head_space_.co2_kpa(), head_space_.variance());
        shut_hours_ = 0;
    }
    head_space_.mix(step, shut, step.produced_volumes - (particles_.mean_volumes() - volumes_before));
    was_shut_ = shut;
    is_known_ = is_known(step);
    last_c_ = step.beer_c;

    if (shut && step.head_kpa && !step.fermenting)
        judge_leak(step);
    else
        leak_.forget();
    if (!ends_a_quarter(step)) return;
    if (is_known_)
        estimates_ = forecast(particles_, context_, step, head_space_.dry_kpa(), head_space_.air_kpa());
    judge_carbonated(step);
}

/// While yeast is at work its own doubt hides what the pressure would tell of kLa and solubility: then the
/// particles are updated, not weighed.
void DissolvedGas::step_shut(const GasStep& step, bool was_shut) {
    const double co2_kpa = head_space_.co2_kpa();
    const auto seen = step.head_kpa ? std::optional{co2_kpa} : std::nullopt;
    if (!was_shut) {
        particles_.begin_shut(seen, co2_kpa, head_space_.variance());
        shut_hours_ = 0;
    }
    unweighed_hours_ += step.hours();
    weighed_ = unweighed_hours_ >= filter.weigh_every_h;
    if (weighed_) unweighed_hours_ = 0;
    particles_.predict_shut(step, last_c_);
    if (was_shut && seen) particles_.update(*seen, head_space_.variance(), weighed_ && !step.fermenting);
    shut_hours_ += step.hours();
    if (weighed_) particles_.resample_when_few();
}

bool DissolvedGas::leak_stands() const {
    return std::any_of(facts_.begin(), facts_.end(),
                       [](const Fact& f) { return f.kind == FactKind::leak_suspected && !f.revoked; });
}

/// Wort that was watched from the beginning is known without a transducer, too: what was there when it was
/// shut, and what the yeast made since.
std::vector<GasContents> DissolvedGas::contents() const {
    if (is_new() || !(is_known_ || context_.start == GasContext::Start::wort)) return {};
    return contents_of(particles_, context_.beer_volume_l, head_space_.air_kpa());
}

void DissolvedGas::decide(FactKind kind, base::Timestamp at, std::string evidence) {
    Fact fact;
    fact.kind = kind;
    fact.at = at;
    fact.evidence = std::move(evidence);
    facts_.push_back(std::move(fact));
}

void DissolvedGas::judge_leak(const GasStep& step) {
    const auto leak = leak_.judge(step, particles_, head_space_.co2_kpa(), head_space_.variance(),
                                  context_.beer_volume_l, shut_hours_, weighed_);
    if (!leak) return;
    decide(FactKind::leak_suspected, step.to,
           fmt::format("The vessel is shut, but its CO2 is getting less: {:.2f} volumes went within {:.0f} "
                       "h, beyond what beer and head space exchange.",
                       leak->missing_volumes, leak->hours));
    particles_.adopt(leak->beer);
}

void DissolvedGas::judge_carbonated(const GasStep& step) {
    if (!context_.target_co2_volumes || !estimates_.contains(Quantity::co2_volumes)) return;
    const Estimate& c = estimates_.at(Quantity::co2_volumes);
    const double target = *context_.target_co2_volumes;
    const bool there =
        c.value >= target - report.carbonated_within && c.low >= target - report.carbonated_low;
    const double quarter_h = base::hours_between(step.to - report_every, step.to);
    carbonated_hours_ = there ? carbonated_hours_ + quarter_h : 0;
    const auto standing = std::find_if(facts_.begin(), facts_.end(), [](const Fact& f) {
        return f.kind == FactKind::carbonated && !f.revoked;
    });
    if (standing == facts_.end() && carbonated_hours_ >= report.carbonated_h) {
        decide(FactKind::carbonated, step.to,
               fmt::format("The beer holds {:.2f} volumes of CO2 ({:.2f} to {:.2f}); the target is {:.2f}.",
                           c.value, c.low, c.high, target));
    } else if (standing != facts_.end() && c.high < target - report.carbonated_within) {
        standing->revoked = true;
        standing->revoked_at = step.to;
        standing->revoked_because =
            fmt::format("Only {:.2f} to {:.2f} volumes are left in the beer.", c.low, c.high);
    }
}

}  // namespace gyled::estimation::gas
