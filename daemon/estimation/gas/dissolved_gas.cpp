#include "daemon/estimation/gas/dissolved_gas.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "daemon/estimation/gas/forecast.hpp"
#include "daemon/estimation/gas/gas_path.hpp"
#include "daemon/estimation/gas/parameters.hpp"
#include "daemon/estimation/gas/shut_in.hpp"

namespace gyled::estimation::gas {
namespace {

using base::Estimate;
using base::Quantity;

constexpr GasFilterParameters filter;
constexpr GasReportParameters report;
constexpr ShutInParameters asking;
constexpr UptakeParameters uptake;
constexpr base::Duration report_every = std::chrono::minutes{15};  // the grid of all estimates

/// Only of a sealed vessel does nothing but its gauge tell the pressure.
bool is_heard(const GasStep& step) {
    return step.head_kpa || step.head_space != base::HeadSpace::sealed;
}

bool ends_a_quarter(const GasStep& step) {
    return step.to.time_since_epoch() % report_every < step.to - step.from;
}

GasContext with_some_beer(GasContext context) {
    context.beer_volume_l = std::max(filter.litres_min, context.beer_volume_l);
    return context;
}

}  // namespace

DissolvedGas::DissolvedGas(GasContext context) : context_{with_some_beer(context)}, particles_{context_} {}

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

void DissolvedGas::purge(double cycles) {
    if (!(std::isfinite(cycles) && cycles >= 1)) return;
    purge_cycles_ = cycles;
    leak_.forget();
}

/// Where a leak was found the pressure is held from outside, as at an open relief valve.
GasPath DissolvedGas::path(const GasStep& step) const {
    GasPathEvidence evidence{step.head_space,     step.set_kpa,
                             step.head_kpa,       head_space_.rise_to(step.head_kpa),
                             context_.relief_kpa, std::nullopt};
    if (const auto seen = relief_.history()) evidence.relief_seats_kpa = seen->reseats_kpa;
    const GasPath path = gas_path(evidence);
    const bool blows = relief_.is_falling() || stands(FactKind::leak_suspected);
    return path == GasPath::shut && blows ? GasPath::relieving : path;
}

void DissolvedGas::start(const GasStep& step) {
    switch (context_.start) {
        case GasContext::Start::wort:
            return particles_.start_under_air(head_space_.dry_kpa());
        case GasContext::Start::fermented:
            if (head_space_.flow().air_enters)
                return particles_.start_behind_a_vent(step.beer_c, head_space_.dry_kpa());
            return particles_.start_fermented(step.beer_c, head_space_.dry_kpa());
        case GasContext::Start::carbonated:
            return particles_.start_carbonated(step.beer_c, head_space_.dry_kpa());
    }
}

void DissolvedGas::step(const GasStep& step) {
    if (!(step.hours() > 0) || !std::isfinite(step.beer_c)) return;
    if (step.head_kpa) relief_.add(step.to, *step.head_kpa, context_.relief_kpa);
    const GasPath passes = path(step);
    const bool shut = passes == GasPath::shut;
    const bool first = head_space_.is_new();
    head_space_.take(step, passes);
    if (first) start(step);
    take_in_purge(step);

    weighed_ = false;
    if (shut)
        step_shut(step);
    else
        particles_.predict_held(step, flow());
    if (!shut) shut_hours_ = 0;
    was_shut_ = shut;
    unheard_hours_ = is_heard(step) ? 0 : unheard_hours_ + step.hours();
    last_c_ = step.beer_c;

    if (shut && step.head_kpa && !step.fermenting) {
        judge_leak(step);
        learn_uptake(step);
    } else {
        leak_.forget();
    }
    judge_relief(step);
    if (!ends_a_quarter(step)) return;
    judge_gauge(step);
    estimates_.clear();
    if (is_known())
        estimates_ = forecast(particles_, context_, step,
                              is_heard(step) ? head_space_.dry_kpa() : particles_.dry_kpa());
    judge_carbonated(step);
    judge_doubt(step);
}

/// The gas of this step; what a purge that was told lets off is in the books already.
GasFlow DissolvedGas::flow() const {
    GasFlow flow = head_space_.flow();
    if (purge_hours_left_ > 0) flow.air_kept = 1;
    return flow;
}

void DissolvedGas::take_in_purge(const GasStep& step) {
    purge_hours_left_ = std::max(0.0, purge_hours_left_ - step.hours());
    if (!purge_cycles_) return;
    const double kpa = std::max(step.set_kpa.value_or(0.0), step.head_kpa.value_or(0.0));
    const double filled_to = kpa > filter.purge_seen_kpa ? kpa : filter.purge_usual_kpa;
    particles_.purge(*purge_cycles_, step.ambient.kpa_absolute() + filled_to, step.ambient.kpa_absolute());
    decide(FactKind::purged, step.to,
           fmt::format("The head space was filled with CO2 and let off {:.0f} times.", *purge_cycles_));
    purge_cycles_.reset();
    purge_hours_left_ = filter.purge_lasts_h;
}

/// While yeast is at work its own doubt hides what the pressure would tell of kLa and solubility: then the
/// particles are updated, not weighed.
void DissolvedGas::step_shut(const GasStep& step) {
    const bool let_off = head_space_.flow().kept < 1;
    if (!was_shut_ || let_off) {
        particles_.begin_shut(flow(), step.head_kpa.has_value());
        shut_hours_ = 0;
        leak_.forget();
    }
    unweighed_hours_ += step.hours();
    weighed_ = unweighed_hours_ >= filter.weigh_every_h || step.by_hand;
    if (weighed_) unweighed_hours_ = 0;
    particles_.predict_shut(step, flow(), last_c_);
    if (was_shut_ && !let_off && step.head_kpa)
        particles_.update(head_space_.dry_kpa(),
                          step.by_hand ? filter.hand_kpa_variance : head_space_.variance(),
                          unheard_hours_ + step.hours(), !step.fermenting);
    shut_hours_ += step.hours();
    if (weighed_) particles_.resample_when_few();
}

bool DissolvedGas::is_known() const {
    return unheard_hours_ <= report.unheard_h;
}

Fact* DissolvedGas::standing(FactKind kind) {
    const auto found = std::find_if(facts_.rbegin(), facts_.rend(),
                                    [&](const Fact& f) { return f.kind == kind && !f.revoked; });
    return found == facts_.rend() ? nullptr : &*found;
}

bool DissolvedGas::stands(FactKind kind) const {
    return std::ranges::any_of(facts_, [&](const Fact& f) { return f.kind == kind && !f.revoked; });
}

/// Wort that was watched from the beginning is known without a transducer, too: what was there when it was
/// shut, and what the yeast made since.
std::vector<GasContents> DissolvedGas::contents() const {
    if (!last_c_ || !(is_known() || context_.start == GasContext::Start::wort)) return {};
    return contents_of(particles_, context_.beer_volume_l, *last_c_);
}

base::Estimates DissolvedGas::held(base::Pressure ambient) const {
    if (!last_c_ || head_space_.is_new()) return {};
    return gas_held(particles_, *last_c_, ambient);
}

void DissolvedGas::decide(FactKind kind, base::Timestamp at, std::string evidence) {
    Fact fact;
    fact.kind = kind;
    fact.at = at;
    fact.evidence = std::move(evidence);
    facts_.push_back(std::move(fact));
}

void DissolvedGas::judge_leak(const GasStep& step) {
    const auto leak =
        leak_.judge(step, particles_, head_space_.flow(), context_.beer_volume_l, shut_hours_, weighed_);
    if (!leak) return;
    decide(FactKind::leak_suspected, step.to,
           fmt::format("The vessel is shut, but its CO2 is getting less: {:.2f} volumes went within {:.0f} "
                       "h, beyond what beer and head space exchange.",
                       leak->missing_volumes, leak->hours));
    particles_.adopt(leak->beer);
}

/// The fall of a shut vessel's pressure tells how fast its beer takes up gas. What a later stage loosens, or
/// a later shutting in equilibrium cannot tell, is not forgotten.
void DissolvedGas::learn_uptake(const GasStep& step) {
    if (!weighed_ || step.head_space == base::HeadSpace::vented || shut_hours_ < uptake.settled_h) return;
    const UptakeBelief now = particles_.uptake();
    if (!found_ || now.variance < found_->variance) found_ = now;
}

std::optional<LearnedUptake> DissolvedGas::learned() const {
    if (!found_ || stands(FactKind::leak_suspected)) return std::nullopt;
    return joined(context_.uptake, *found_, context_.beer_volume_l);
}

/// A new run of openings is a new fact; the rule counts within one.
void DissolvedGas::judge_relief(const GasStep& step) {
    const auto seen = relief_.history();
    const Fact* told = standing(FactKind::relief_opened);
    if (!seen || (told && told->at >= seen->first)) return;
    decide(FactKind::relief_opened, step.to,
           fmt::format("The pressure rose to {:.0f} kPa, fell at once to {:.0f} and stayed: the relief valve "
                       "has let gas go.",
                       seen->opens_kpa, seen->reseats_kpa));
}

/// What no pressure keeps dissolved for hours is not in the beer, whatever the books say: then the gauge is
/// believed, with the doubt of one who has just been wrong.
void DissolvedGas::judge_gauge(const GasStep& step) {
    Fact* told = standing(FactKind::gauge_contradicts);
    const double quarter_h = base::hours_between(step.to - report_every, step.to);
    const bool too_much = step.head_kpa && particles_.exceed(step.beer_c, head_space_.dry_kpa());
    contradicted_hours_ = too_much ? contradicted_hours_ + quarter_h : 0;
    agrees_hours_ = too_much ? 0 : agrees_hours_ + quarter_h;
    if (told && agrees_hours_ >= report.agrees_h)
        revoke(*told, step.to, "Reckoning and gauge have agreed since.");
    if (contradicted_hours_ < report.contradicts_h) return;
    contradicted_hours_ = 0;
    particles_.begin_anew_at(step.beer_c, head_space_.dry_kpa());
    leak_.forget();
    if (!told)
        decide(
            FactKind::gauge_contradicts, step.to,
            fmt::format("Under {:.0f} kPa at {:.1f} degC no beer holds as much CO2 as was reckoned: gas went "
                        "another way, or the gauge is wrong.",
                        *step.head_kpa, step.beer_c));
}

void DissolvedGas::judge_carbonated(const GasStep& step) {
    if (!context_.target_co2_volumes || !estimates_.contains(Quantity::co2_volumes)) return;
    const Estimate& c = estimates_.at(Quantity::co2_volumes);
    const double target = *context_.target_co2_volumes;
    const bool there =
        c.value >= target - report.carbonated_within && c.low >= target - report.carbonated_low;
    const double quarter_h = base::hours_between(step.to - report_every, step.to);
    carbonated_hours_ = there ? carbonated_hours_ + quarter_h : 0;
    Fact* told = standing(FactKind::carbonated);
    if (!told && carbonated_hours_ >= report.carbonated_h)
        decide(FactKind::carbonated, step.to,
               fmt::format("The beer holds {:.2f} volumes of CO2 ({:.2f} to {:.2f}); the target is {:.2f}.",
                           c.value, c.low, c.high, target));
    else if (told && c.high < target - report.carbonated_within)
        revoke(*told, step.to,
               fmt::format("Only {:.2f} to {:.2f} volumes are left in the beer.", c.low, c.high));
}

/// Where the doubt is how fast the beer takes up gas, the person can end it: behind a shut valve the fall of
/// the pressure tells.
void DissolvedGas::judge_doubt(const GasStep& step) {
    const bool on_gas = step.head_space == base::HeadSpace::supplied && step.head_kpa && !step.fermenting;
    supplied_hours_ = on_gas ? supplied_hours_ + base::hours_between(step.to - report_every, step.to) : 0;
    const auto c = estimates_.find(Quantity::co2_volumes);
    if (c == estimates_.end()) return;
    const double width = c->second.high - c->second.low;
    Fact* asked = standing(FactKind::shut_in_wanted);
    if (asked) {
        if (width < asking.answered_width)
            revoke(*asked, step.to, "It is known now.");
        else if (step.head_space == base::HeadSpace::vented)
            revoke(*asked, step.to, "The gas is off.");
        return;
    }
    if (supplied_hours_ < asking.asks_after_h || width < asking.asks_width) return;
    supplied_hours_ -= 1;  // asked of the particles once an hour
    if (const auto worth =
            shut_in_worth_asking(particles_, step, context_.beer_volume_l, head_space_.dry_kpa()))
        decide(FactKind::shut_in_wanted, step.to,
               fmt::format(
                   "Shut the gas for {:.0f} h, and the CO2 will be known to some {:.1f} volumes, not {:.1f}: "
                   "how fast this beer takes it up is not known yet.",
                   worth->hours, worth->half_width, width / 2));
}

void DissolvedGas::revoke(Fact& fact, base::Timestamp at, std::string because) {
    fact.revoked = true;
    fact.revoked_at = at;
    fact.revoked_because = std::move(because);
}

}  // namespace gyled::estimation::gas
