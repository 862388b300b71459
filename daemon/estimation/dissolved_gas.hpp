#pragma once
/// The CO2 in the beer as a state, not a chart look-up.
///
///     dC/dt = production + kLa (C* - C),   C* = beer factor x water's solubility at this temperature and
///     pressure
///
/// with the head space as a second store when nothing enters or leaves it. kLa and the beer factor are not
/// known: a bank of filters, one for each pair, runs beside each other, and what the pressure does with the
/// valves shut tells them apart. Everything reported is taken from the whole bank.
///
/// A value: a copy is a snapshot. Steps come in event-time order. Single-threaded. Pressures kPa.

#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/base/stage.hpp"
#include "daemon/base/estimate.hpp"
#include "daemon/base/pressure.hpp"
#include "daemon/estimation/fact.hpp"

namespace gyled::estimation {

struct GasContext {
    double total_volume_l = 0;
    double beer_volume_l = 0;
    double warmest_c = 25;  ///< for warm_pressure
    double coldest_c = 1;   ///< for crash_pressure
    std::optional<double> target_co2_volumes;
    std::optional<double> relief_kpa;  ///< gauge; near it the valve may let gas go, which is no leak
    /// What is in the vessel when the watch begins: wort under air, fermented beer under CO2, or beer that
    /// has been brought to its carbonation already and is near equilibrium with the gas above it.
    enum class Start : std::uint8_t { wort, fermented, carbonated } start = Start::wort;
};

/// What is known of a few minutes, at most a quarter of an hour.
struct GasStep {
    base::Timestamp from, to;
    double beer_c = 20;
    base::Pressure ambient = base::standard_atmosphere;
    std::optional<double> head_kpa;  ///< gauge, robust mean over the step; nothing when no sensor spoke
    base::HeadSpace head_space = base::HeadSpace::vented;
    std::optional<double> set_kpa;  ///< gauge: spunding valve or regulator
    double produced_volumes = 0;    ///< set free by fermentation during the step, per litre of beer
    double produced_sigma = 0;
    bool fermenting = false;  ///< yeast is at work: bubbles stir, and beer may hold more than equilibrium
};

class DissolvedGas {
public:
    explicit DissolvedGas(GasContext context);

    void step(const GasStep& step);
    /// A stage or head-space change: how gas meets the beer may be new, so what was learnt of kLa is
    /// loosened.
    void unsettle();
    /// A hand measurement of dissolved CO2, volumes.
    void measure(double volumes, double sigma = 0.1);

    /// co2_volumes, co2_equilibrium_volumes, carbonated_time, warm_pressure, crash_pressure; gauge against
    /// the last step's ambient. What nobody could know (no pressure, no temperature) is left out.
    [[nodiscard]] const base::Estimates& estimates() const { return estimates_; }
    /// carbonated and leak_suspected, oldest first; only added to, or marked as revoked.
    [[nodiscard]] const std::vector<Fact>& facts() const { return facts_; }

private:
    /// One guess at what cannot be seen, and the filter that follows from it.
    struct Member {
        double kla = 0.015;            ///< per hour, without bubbles
        double factor = 0.95;          ///< of water's solubility
        double head_litres = 1;        ///< the head space as it truly is
        double production = 1;         ///< of the CO2 that the gravity curve tells
        double supersaturation = 0.1;  ///< volumes that beer at work holds above equilibrium
        double log_weight = 0;
        double c = 0, p = 0;            ///< volumes; CO2 in the head space, kPa absolute
        double cc = 0, cp = 0, pp = 0;  ///< their covariance
    };
    enum class Valve : std::uint8_t { open, shut };
    [[nodiscard]] Valve valve(const GasStep& step) const;
    void hold(Member& member, const GasStep& step, double hours, double p_kpa) const;
    void shut_in(Member& member, const GasStep& step, double hours, std::optional<double> seen_kpa) const;
    void draw_again();
    void report(const GasStep& step, double p_kpa);
    void judge_leak(const GasStep& step);
    void judge_carbonated(const GasStep& step);
    void warm_head_space(const GasStep& step, double dry_kpa, bool shut);
    void mix_head_space(const GasStep& step, double dry_kpa, bool shut, double volumes_before);
    [[nodiscard]] double mean_volumes() const;
    [[nodiscard]] bool leak_stands() const;
    void take_back_to_reference();
    double noise();

    GasContext context_;
    std::vector<Member> bank_;
    base::Estimates estimates_;
    std::vector<Fact> facts_;
    std::optional<double> last_kpa_, before_last_kpa_;  ///< gauge
    std::optional<double> last_c_, head_c_;
    std::optional<double>
        air_kpa_;                 ///< partial pressure of air above the beer; nothing before the first step
    double head_co2_kpa_ = 0;     ///< and of CO2, both absolute
    double kpa_variance_ = 0.09;  ///< of one step's mean pressure, learnt from its unsteadiness
    bool was_shut_ = false, weigh_ = false;
    double weighed_hours_ = 0;
    double shut_hours_ = 0, carbonated_hours_ = 0;
    /// The most CO2 that the shut vessel surely held at some time, volumes per litre of beer, and what came
    /// since: nothing can leave but by a leak.
    struct Reference {
        double volumes_low = 0;
        base::Timestamp at;
        std::vector<Member> bank;
        std::vector<GasStep> since;
        int hours_below = 0;
    };
    std::optional<Reference> reference_;
    std::uint64_t random_ = 0x9e3779b97f4a7c15;
};

}  // namespace gyled::estimation
