#pragma once
/// A vessel that was hot, cooled with its vent open or shut; its physics shares nothing with the daemon's.

#include <array>
#include <cmath>
#include <random>

#include "tests/cellar/harbour.hpp"

namespace gyled::cellar {

/// Saturation pressure of water, kPa absolute: rows of IAPWS-IF97 as python3-iapws 1.5.3 (Debian 12), a
/// general reference library, computes them (tests/reference/iapws.csv); between the rows ln p runs straight
/// over 1/T (Clausius and Clapeyron), within 0.2 %.
inline double steam_table_kpa(double celsius) {
    struct Row {
        double celsius, kpa;
    };
    constexpr std::array rows{Row{1, 0.65709},   Row{10, 1.22818},    Row{20, 2.33921},   Row{30, 4.24669},
                              Row{40, 7.38443},  Row{60, 19.94580},   Row{67, 27.36804},  Row{80, 47.41472},
                              Row{95, 84.60894}, Row{100, 101.41798}, Row{105, 120.90206}};
    std::size_t i = 1;
    while (i + 1 < rows.size() && rows[i].celsius < celsius) ++i;
    const auto inverse = [](double c) { return 1 / (c + 273.15); };
    const double part = (inverse(celsius) - inverse(rows[i - 1].celsius)) /
                        (inverse(rows[i].celsius) - inverse(rows[i - 1].celsius));
    return std::exp(std::log(rows[i - 1].kpa) + part * std::log(rows[i].kpa / rows[i - 1].kpa));
}

/// From hot to cold at a chiller's pace. Times in minutes.
struct SteamWorld {
    double hot_c = 95, cold_c = 18;
    double k_per_min = 2;        ///< at first; it slows towards the coolant (Newton's law of cooling)
    double cools_from_min = 20;  ///< hot until then
    double shut_from_min = 20;   ///< the vent; infinite: never
    double noise_kpa = 0.3, noise_c = 0.05, bias_kpa = 0;
    double air_kpa = 101.325;

    [[nodiscard]] double celsius(double min) const {
        if (min < cools_from_min) return hot_c;
        return cold_c + (hot_c - cold_c) * std::exp(-k_per_min / (hot_c - cold_c) * (min - cools_from_min));
    }
    /// Gauge.
    [[nodiscard]] double kpa(double min) const {
        if (min < shut_from_min) return 0;
        const double shut_c = celsius(shut_from_min), c = celsius(min);
        return (air_kpa - steam_table_kpa(shut_c)) * (c + 273.15) / (shut_c + 273.15) + steam_table_kpa(c) -
               air_kpa;
    }
};

/// What came of it, in minutes of the world's time; infinite: never.
struct SteamTold {
    double told_min = INFINITY;              ///< steam_collapse raised
    double minus_5_kpa_min = INFINITY;       ///< the true gauge fell below -5 kPa
    std::vector<alarms::Transition> raised;  ///< every alarm that was
};

/// Lives through it with a reading of both each `every`. `plan`: begun at the world's beginning, if any.
inline SteamTold live(const SteamWorld& world, const std::optional<batch::Plan>& plan, Duration every,
                      unsigned seed, double minutes = 90) {
    std::mt19937 random{seed};
    std::normal_distribution<double> kpa_noise{world.bias_kpa, world.noise_kpa}, c_noise{0, world.noise_c};
    Cellar core{harbour()};
    SteamTold told;
    double now_min = 0;
    const auto take = [&](const Effects& effects) {
        for (const alarms::Transition& step : effects.transitions) {
            if (step.state != alarms::AlarmState::raised) continue;
            told.raised.push_back(step);
            if (step.rule == "steam_collapse") told.told_min = std::min(told.told_min, now_min);
        }
    };
    take(core.advance_to(at(0min)));
    if (plan) take(core.accept(StartBatch{*plan, at(0min), {}, Consent::past}));
    for (Duration t = 0min; static_cast<double>(t.count()) / 60e3 < minutes; t += every) {
        now_min = static_cast<double>(t.count()) / 60e3;
        if (world.kpa(now_min) < -5) told.minus_5_kpa_min = std::min(told.minus_5_kpa_min, now_min);
        take(core.advance_to(at(t)));
        take(core.accept(reading(Quantity::beer_temperature, t, world.celsius(now_min) + c_noise(random))));
        take(core.accept(reading(Quantity::head_pressure, t, world.kpa(now_min) + kpa_noise(random))));
    }
    return told;
}

/// One stage, begun with the batch.
inline batch::Plan one_stage(StageKind kind, HeadSpace head_space, std::optional<double> end_c) {
    batch::Plan plan = mild();
    batch::StagePlan stage;
    stage.kind = kind;
    stage.start = at(0min);
    stage.head_space = head_space;
    if (end_c) stage.end = {batch::StageEnd::When::temperature_reached, end_c, {}};
    plan.stages = {stage};
    return plan;
}

}  // namespace gyled::cellar
