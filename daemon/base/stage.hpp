#pragma once
/// The trade's words for where a batch stands.

#include <cstdint>
#include <optional>
#include <string_view>

namespace gyled::base {

enum class StageKind : std::uint8_t {
    strike,
    mash,
    mash_out,
    sparge,
    boil,
    chill,
    ferment,
    rest,
    crash,
    carbonate,
    condition,
    serve,
    // around the batch
    clean,      ///< caustic or acid goes round
    rinse,      ///< water, hot or cold
    sanitise,   ///< what kills, and is not rinsed off
    purge,      ///< CO2 drives out the air
    tightness,  ///< shut under pressure: does it hold?
};

/// How gas can leave or enter the vessel.
enum class HeadSpace : std::uint8_t {
    vented,    ///< open through an airlock or blow-off: gauge pressure stays near 0
    spunded,   ///< a spunding valve holds the set point and lets the rest go
    sealed,    ///< nothing enters, nothing leaves
    supplied,  ///< a regulator feeds CO2 at the set point
};

/// Sets priors and caution; never hides data.
enum class Culture : std::uint8_t { ale, lager, mixed };

/// Both ends belong to the band.
struct Band {
    double low = 0;
    double high = 0;
    friend bool operator==(const Band&, const Band&) = default;
};

[[nodiscard]] std::string_view name(StageKind kind);
[[nodiscard]] std::string_view name(HeadSpace mode);
[[nodiscard]] std::string_view name(Culture culture);
[[nodiscard]] std::optional<StageKind> stage_kind_named(std::string_view text);
[[nodiscard]] std::optional<HeadSpace> head_space_named(std::string_view text);
[[nodiscard]] std::optional<Culture> culture_named(std::string_view text);

/// Stages in which yeast is at work or at rest: from pitching on. Before: the hot side.
[[nodiscard]] constexpr bool is_cold_side(StageKind kind) {
    return kind >= StageKind::ferment && kind <= StageKind::serve;
}
/// Stages with neither wort nor beer in the vessel.
[[nodiscard]] constexpr bool is_cleaning(StageKind kind) {
    return kind == StageKind::clean || kind == StageKind::rinse || kind == StageKind::sanitise;
}
/// Stages that concern the head space alone: what is in the vessel stays in it.
[[nodiscard]] constexpr bool leaves_contents(StageKind kind) {
    return kind == StageKind::purge || kind == StageKind::tightness;
}

}  // namespace gyled::base
