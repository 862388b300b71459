#pragma once
/// What a rule is made of: data and pure functions from an EvaluationInput to an Evaluation and to messages.
/// The panel gives them time and memory. Constant data, any thread; canonical units (pressures kPa gauge),
/// event times in UTC.

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "daemon/alarms/alarm.hpp"
#include "daemon/alarms/situation.hpp"
#include "daemon/alarms/tuning.hpp"
#include "daemon/display/display.hpp"

namespace gyled::alarms {

/// What a rule finds its condition to be.
enum class Condition : std::uint8_t {
    unknown,         ///< nobody could know: what stands stands on, nothing begins
    not_applicable,  ///< the rule does not apply here and now
    within,          ///< within the limit by more than the deadband
    eased,           ///< within the limit, but not by the deadband
    beyond,          ///< beyond the limit
};

/// What a rule looks at.
struct EvaluationInput {
    const Situation& now;
    Timestamp listening_since;               ///< since when the broker could have brought readings
    bool temperature_is_on_its_way = false;  ///< the stage is new and its band not reached yet
    bool pressure_is_on_its_way = false;
    double deadband = 0;                           ///< as tuned
    const SensorSilence* sensor = nullptr;         ///< for rules about each sensor: within `now`
    const base::Impairment* impairment = nullptr;  ///< for rules about each impairment, while it stands
    std::string_view subject{};                    ///< which sensor or impairment; empty for other rules
    const RuleTuning* own_threshold = nullptr;     ///< for a person's own threshold; owned by the rule in use
};

/// What a rule found.
struct Evaluation {
    Condition condition = Condition::unknown;
    Timestamp at{};  ///< event time of the evidence
    std::optional<double> value{}, limit{};
    std::optional<base::Quantity> quantity{};  ///< of value and limit
    bool low_side = false;                     ///< the limit is a lower one: less is worse
    std::optional<Priority> urgency{};         ///< of this step; nothing: as the rule says
    unsigned step = 0;       ///< of a rule that escalates: higher is worse, also within one priority
    unsigned step_kept = 0;  ///< the worst step that is not left by the deadband yet; at least `step`
    std::optional<base::Estimate> moment{};  ///< when it would come about, Unix seconds
    const estimation::Fact* fact = nullptr;  ///< within the situation evaluated
};

/// What a message is made of when an alarm is raised, worsens or returns to normal.
struct MessageContext {
    const EvaluationInput& input;
    const Evaluation& evaluation;
    Duration lasted{};            ///< since the limit was passed, not negative
    std::optional<double> worst;  ///< the extreme since then
    const display::Display& display;
};
struct Message {
    std::string title;  ///< at most `base::title_characters`
    std::string text;   ///< understood without the title
};

/// Rules whose standing explains another, so that it is recorded only.
struct Causes {
    std::string_view one{}, other{};
    constexpr Causes() = default;
    // NOLINTNEXTLINE(google-explicit-constructor): `.explained_by = "broker_lost"` reads as it is meant
    constexpr Causes(const char* cause) : one{cause} {}
    constexpr Causes(std::string_view cause, std::string_view further) : one{cause}, other{further} {}
    [[nodiscard]] constexpr bool include(std::string_view rule) const {
        return !rule.empty() && (rule == one || rule == other);
    }
};

struct Rule {
    enum class About : std::uint8_t { vessel, each_sensor, watch, each_impairment };
    RuleInfo info;
    About about = About::vessel;
    bool information = false;  ///< given once, never stands
    bool escalates = false;    ///< is raised anew at each step that is worse, by its number or its priority
    Duration on_delay{}, off_delay{};
    Duration (*on_delay_in)(base::StageKind) = nullptr;  ///< where one delay does not fit every stage
    double deadband = 0;                                 ///< canonical unit of what it watches
    Causes explained_by;  ///< while one of them stands and is as urgent, this one is recorded only
    /// What to do first, how, and what never: in this order, so that the first sentence is the action.
    std::string_view first_aid;
    Evaluation (*evaluate)(const EvaluationInput&) = nullptr;
    Message (*raised)(const MessageContext&) = nullptr;
    Message (*returned)(const MessageContext&) = nullptr;  ///< to normal
    /// First aid as this step asks for it; nothing: as it is in general.
    std::string (*first_aid_now)(const MessageContext&) = nullptr;
    /// How it stands while it has eased and is not over; nothing: the value alone is told.
    std::string (*eased)(const MessageContext&) = nullptr;
};

// One list for each subject; `rules.cpp` puts them together.
[[nodiscard]] std::span<const Rule> temperature_rules();
[[nodiscard]] std::span<const Rule> pressure_rules();
[[nodiscard]] std::span<const Rule> closing_rules();
[[nodiscard]] std::span<const Rule> collapse_rules();
[[nodiscard]] std::span<const Rule> plate_rules();
[[nodiscard]] std::span<const Rule> valve_rules();
[[nodiscard]] std::span<const Rule> outlook_rules();
[[nodiscard]] std::span<const Rule> fact_rules();
[[nodiscard]] std::span<const Rule> tightness_rules();
[[nodiscard]] std::span<const Rule> brew_day_rules();
[[nodiscard]] std::span<const Rule> guard_rules();
[[nodiscard]] std::span<const Rule> watch_rules();
[[nodiscard]] std::span<const Rule> impairment_rules();
/// Every built-in rule in the order in which they are evaluated: causes before what they explain.
[[nodiscard]] std::span<const Rule* const> built_in_rules();
/// Evaluates a person's own threshold; the input's `own_threshold` says which.
[[nodiscard]] const Rule& own_threshold_rule();
/// The deadband for a threshold on this quantity when the person gives none, canonical unit.
[[nodiscard]] double usual_deadband(base::Quantity quantity);

}  // namespace gyled::alarms
