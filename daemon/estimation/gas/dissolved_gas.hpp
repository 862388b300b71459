#pragma once
/// Rao-Blackwellised particle filter with Liu-West moves for dissolved CO2: the gas in the beer as a state,
/// not a chart look-up. Joins the particles (particles.hpp), the pressure signal (head_space_gas.hpp), the
/// one answer to how gas can leave (gas_path.hpp), the watches for leaks and the relief valve, and what is
/// told of it all.
///
/// A value: a copy is a snapshot, some 35 kB however old. Steps come in event-time order. Single-threaded. A
/// step costs some 0.05 ms, one a quarter that reports half a millisecond.

#include <limits>
#include <optional>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/estimation/fact.hpp"
#include "daemon/estimation/gas/closing.hpp"
#include "daemon/estimation/gas/gas_step.hpp"
#include "daemon/estimation/gas/head_space_gas.hpp"
#include "daemon/estimation/gas/leak.hpp"
#include "daemon/estimation/gas/particles.hpp"
#include "daemon/estimation/gas/relief.hpp"

namespace gyled::estimation::gas {

class DissolvedGas {
public:
    explicit DissolvedGas(GasContext context);

    /// A step that does not go forward in time, or has no temperature, is ignored.
    void step(const GasStep& step);
    /// A stage or head-space change: how gas meets the beer may be new.
    void inflate_covariance();
    /// A hand measurement of dissolved CO2, volumes; what is no number, or negative, is ignored. It may show
    /// less than was believed without a leak, so the watch for leaks begins anew.
    void measure(double volumes);
    void measure(double volumes, double sigma);
    /// The head space was filled with CO2 and let off so many times from now on. What the gauge shows of it
    /// in the next half hour counts no second time. Fewer than one is ignored.
    void purge(double cycles);
    /// Before the first step there is nothing that a measurement could correct.
    [[nodiscard]] bool is_new() const { return head_space_.is_new(); }

    /// As in forecast.hpp; gauge against the last step's ambient. What nobody could know (no pressure, no
    /// temperature) is left out.
    [[nodiscard]] const base::Estimates& estimates() const { return estimates_; }
    /// What beer and head space hold, as of the last step; empty before it, and where nobody could know.
    [[nodiscard]] std::vector<GasContents> contents() const;
    /// forecast.hpp: pressure and dissolved CO2 as of the last step, seen or not; empty before the first.
    [[nodiscard]] base::Estimates held(base::Pressure ambient) const;
    /// For so long gas has neither left nor entered, nor was any let off; 0 where it may.
    [[nodiscard]] double shut_hours() const { return shut_hours_; }
    /// degC at the last step that was taken.
    [[nodiscard]] std::optional<double> beer_c() const { return last_c_; }
    /// What is known of the vessel's uptake after this batch; nothing where it has taught nothing.
    [[nodiscard]] std::optional<LearnedUptake> learned() const;
    /// carbonated, leak_suspected, relief_opened, purged, shut_in_wanted and gauge_contradicts, oldest first;
    /// only added to, or marked as revoked.
    [[nodiscard]] const std::vector<Fact>& facts() const { return facts_; }

private:
    [[nodiscard]] GasPath path(const GasStep& step) const;
    /// Without its gauge a sealed vessel could hold anything, after a while.
    [[nodiscard]] bool is_known() const;
    [[nodiscard]] Fact* standing(FactKind kind);
    [[nodiscard]] bool stands(FactKind kind) const;
    [[nodiscard]] GasFlow flow() const;
    void start(const GasStep& step);
    void take_in_purge(const GasStep& step);
    void step_shut(const GasStep& step);
    void learn_uptake(const GasStep& step);
    void judge_leak(const GasStep& step);
    void judge_relief(const GasStep& step);
    void judge_gauge(const GasStep& step);
    void judge_carbonated(const GasStep& step);
    void judge_doubt(const GasStep& step);
    void decide(FactKind kind, base::Timestamp at, std::string evidence);
    void revoke(Fact& fact, base::Timestamp at, std::string because);

    GasContext context_;
    Particles particles_;
    HeadSpaceGas head_space_;
    LeakWatch leak_;
    ReliefWatch relief_;
    base::Estimates estimates_;
    std::vector<Fact> facts_;
    std::optional<double> last_c_;
    bool was_shut_ = false;
    bool weighed_ = false;  // the last step's innovation told the particles apart
    double unweighed_hours_ = 0, unheard_hours_ = std::numeric_limits<double>::infinity();
    std::optional<UptakeBelief> found_;  // the sharpest that a shut vessel gave
    double shut_hours_ = 0, carbonated_hours_ = 0, agrees_hours_ = 0, contradicted_hours_ = 0,
           supplied_hours_ = 0;
    std::optional<double> purge_cycles_;  // told, not yet taken in
    double purge_hours_left_ = 0;         // so long its letting off is in the books already
};

}  // namespace gyled::estimation::gas
