#pragma once
/// What carbonations taught of one vessel: how fast still beer in it takes up gas. The surface belongs to the
/// vessel, so the next batch begins with it. Pure functions; safe on any thread.

#include <optional>

namespace gyled::estimation::gas {

/// Plain numbers, for storing and showing.
///
/// What is learnt is kLa times the litres of beer: in a vessel of upright walls the surface stays the same
/// however full it is, and kLa = k_L A / V. Warmth moves it by some 1.3 % a degree (the root of CO2's
/// diffusivity in water); cold beer differs by less than one batch from the next.
struct LearnedUptake {
    static constexpr int current_edition = 1;
    int edition = 0;
    int batches = 0;          ///< how many carbonations stand behind it
    double litres_per_h = 0;  ///< kLa times litres of beer
    double log_sigma = 0;     ///< doubt of its logarithm
    friend bool operator==(const LearnedUptake&, const LearnedUptake&) = default;
};

/// Of this edition, and numbers that make sense.
[[nodiscard]] bool is_usable(const LearnedUptake& learned);

/// ln kLa (per hour) of one batch: a normal distribution.
struct UptakeBelief {
    double log_kla = 0;
    double variance = 0;
};

/// With what a batch of so much beer begins: what was learnt and how one batch differs from the next, or else
/// what is usual of still beer (brewing/dissolution.hpp: its low, usual and high end taken as a triangle of
/// the logarithms).
[[nodiscard]] UptakeBelief uptake_prior(const std::optional<LearnedUptake>& learned, double beer_litres);

/// What is known of the vessel once a batch that began with `learned` has come to believe `found`. Nothing
/// new where that is hardly sharper than what the batch began with. A vessel is a mean about which its
/// batches scatter: Kalman's update with what `found` says beyond the prior. Far from the prior the vessel
/// has changed, and is learnt anew.
[[nodiscard]] std::optional<LearnedUptake> joined(const std::optional<LearnedUptake>& learned,
                                                  const UptakeBelief& found, double beer_litres);

}  // namespace gyled::estimation::gas
