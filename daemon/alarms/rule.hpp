#pragma once
/// What a rule is made of. Rules are data and pure functions; the panel gives them time, memory and a voice.

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "daemon/alarms/alarm.hpp"
#include "daemon/alarms/situation.hpp"
#include "daemon/alarms/tuning.hpp"
#include "daemon/display/display.hpp"

namespace gyled::alarms {

enum class Verdict : std::uint8_t {
    unknown,  ///< nobody could know: what stood stands on, nothing begins
    dropped,  ///< the rule does not apply here and now
    within,   ///< within the limit by more than the deadband
    eased,    ///< within the limit, but not by the deadband
    beyond,   ///< beyond the limit
};

/// What a rule saw. Canonical units.
struct Finding {
    Verdict verdict = Verdict::unknown;
    Timestamp
        at{};  ///< event time of the evidence: delays count from reading to reading, never on a stale one
    std::optional<double> value{}, limit{};
    bool low_side = false;                   ///< the limit is a lower one: less is worse
    std::optional<Priority> urgency{};       ///< how urgent this step is; nothing: as the rule says
    std::optional<double> moment{};          ///< when it would come about, Unix seconds
    const estimation::Fact* fact = nullptr;  ///< within the situation judged
};

/// What a rule looks at.
struct Scene {
    const Situation& now;
    Timestamp listening_since;            ///< since when the broker could have brought us readings
    bool temperature_on_its_way = false;  ///< the stage is new and its band not reached yet
    bool pressure_on_its_way = false;
    double deadband = 0;
    const SensorSilence* sensor = nullptr;  ///< for rules about each sensor
    const RuleTuning* own = nullptr;        ///< for a person's own threshold
};

/// What there is to tell when an alarm begins, worsens or is over.
struct Story {
    const Scene& scene;
    const Finding& finding;
    Duration lasted{};            ///< since the breach began
    std::optional<double> worst;  ///< the extreme, canonical unit
    const display::Display& display;
};
struct Words {
    std::string title;  ///< at most 60 characters
    std::string text;   ///< understood without the title
};

struct Rule {
    enum class About : std::uint8_t { vessel, each_sensor, watch };
    RuleInfo info;
    About about = About::vessel;
    bool information = false;  ///< told once, never stands
    bool escalates = false;    ///< rings again when the finding grows more urgent
    Duration on_delay{}, off_delay{};
    double deadband = 0;
    std::string_view explained_by;  ///< while that rule stands and is as urgent, this one is recorded only
    std::string_view first_aid;     ///< what to do first, and with what care
    Finding (*judge)(const Scene&) = nullptr;
    Words (*raised)(const Story&) = nullptr;
    Words (*over)(const Story&) = nullptr;
};

// One list for each subject; `rules.cpp` puts them together.
[[nodiscard]] std::span<const Rule> temperature_rules();
[[nodiscard]] std::span<const Rule> pressure_rules();
[[nodiscard]] std::span<const Rule> outlook_rules();
[[nodiscard]] std::span<const Rule> fact_rules();
[[nodiscard]] std::span<const Rule> watch_rules();
/// Every built-in rule in the order in which they are judged: causes before what they explain.
[[nodiscard]] std::span<const Rule* const> built_in_rules();
/// Judges a person's own threshold; the scene's `own` says which.
[[nodiscard]] const Rule& own_threshold_rule();
/// The deadband for a threshold on this quantity when the person gives none.
[[nodiscard]] double usual_deadband(base::Quantity quantity);

}  // namespace gyled::alarms
