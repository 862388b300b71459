#include "daemon/alarms/rules.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/alarms/rule.hpp"

namespace gyled::alarms {
namespace {

using namespace std::chrono_literals;

/// What a tuning may ask for.
struct TuningParameters {
    Duration safety_delay_longest = 1min;  ///< without accepting the risk: long enough for a spike
    Duration delay_longest = 30 * 24h;     ///< longer is switching it off
};
constexpr TuningParameters parameters;

const Rule* built_in(std::string_view name) {
    for (const Rule* rule : built_in_rules())
        if (rule->info.name == name) return rule;
    return nullptr;
}

std::vector<std::string> objections_to_threshold(const RuleTuning& tuning) {
    std::vector<std::string> wrong;
    if (tuning.rule.empty()) wrong.emplace_back("an alarm of your own needs a name");
    if (tuning.rule.find('/') != std::string::npos)
        wrong.emplace_back("the name of an alarm must not contain '/'");
    if (!tuning.above && !tuning.below) wrong.emplace_back("an alarm of your own needs above, below or both");
    for (const auto& limit : {tuning.above, tuning.below})
        if (limit && !std::isfinite(*limit)) wrong.emplace_back("a limit must be a number");
    if (tuning.above && tuning.below && !(*tuning.below < *tuning.above))
        wrong.emplace_back("below must be less than above: it is raised outside of the two");
    if (base::is_moment(*tuning.quantity)) wrong.emplace_back("a moment has no threshold");
    return wrong;
}

std::vector<std::string> objections_to_built_in(const RuleTuning& tuning, const Rule& rule) {
    std::vector<std::string> wrong;
    const std::string name{rule.info.name};
    if (tuning.quantity || tuning.above || tuning.below)
        wrong.push_back("'" + name + "' knows its own limits: give an alarm of your own another name");
    if (!tuning.text.empty())
        wrong.push_back("'" + name + "' has its own words; text is for alarms of your own");
    if (!rule.info.safety || tuning.accept_the_risk) return wrong;
    const std::string accept = " needs i_accept_the_risk = true: it guards people";
    if (tuning.enabled && !*tuning.enabled) wrong.push_back("switching off '" + name + "'" + accept);
    if (tuning.priority && *tuning.priority < rule.info.priority)
        wrong.push_back("making '" + name + "' less urgent" + accept);
    if (tuning.on_delay && *tuning.on_delay > std::max(parameters.safety_delay_longest, rule.on_delay))
        wrong.push_back("delaying '" + name + "' by more than " +
                        (rule.on_delay > parameters.safety_delay_longest ? "its default" : "a minute") +
                        accept);
    return wrong;
}

}  // namespace

std::span<const Rule* const> built_in_rules() {
    static const std::vector<const Rule*> all = [] {
        std::vector<const Rule*> out;
        for (const auto rules :
             {watch_rules(), impairment_rules(), temperature_rules(), brew_day_rules(), plate_rules(),
              valve_rules(), pressure_rules(), collapse_rules(), guard_rules(), closing_rules(),
              outlook_rules(), fact_rules(), tightness_rules()})
            for (const Rule& rule : rules) out.push_back(&rule);
        return out;
    }();
    return all;
}

std::span<const RuleInfo> rule_infos() {
    static const std::vector<RuleInfo> infos = [] {
        std::vector<RuleInfo> out;
        for (const Rule* rule : built_in_rules()) out.push_back(rule->info);
        return out;
    }();
    return infos;
}

std::vector<std::string_view> watch_rule_names() {
    std::vector<std::string_view> names;
    for (const Rule* rule : built_in_rules())
        if (rule->about == Rule::About::watch || rule->about == Rule::About::each_impairment)
            names.push_back(rule->info.name);
    return names;
}

std::vector<std::string> check(const RuleTuning& tuning) {
    const Rule* rule = built_in(tuning.rule);
    std::vector<std::string> wrong;
    if (rule != nullptr)
        wrong = objections_to_built_in(tuning, *rule);
    else if (tuning.quantity)
        wrong = objections_to_threshold(tuning);
    else
        wrong.push_back("there is no built-in alarm '" + tuning.rule +
                        "'; one of your own needs a quantity and above or below");
    if (tuning.on_delay && (*tuning.on_delay < 0s || *tuning.on_delay > parameters.delay_longest))
        wrong.emplace_back("on_delay must lie between 0 and 30 days");
    if (tuning.off_delay && (*tuning.off_delay < 0s || *tuning.off_delay > parameters.delay_longest))
        wrong.emplace_back("off_delay must lie between 0 and 30 days");
    if (tuning.deadband && !(*tuning.deadband >= 0 && std::isfinite(*tuning.deadband)))
        wrong.emplace_back("deadband must be a number, 0 or more");
    return wrong;
}

std::string_view first_aid(std::string_view rule) {
    const Rule* found = built_in(rule);
    return found == nullptr ? std::string_view{} : found->first_aid;
}

std::string_view first_aid(const Transition& step) {
    return step.first_aid.empty() ? first_aid(step.rule) : std::string_view{step.first_aid};
}

std::string_view first_action(std::string_view first_aid) {
    const std::size_t end = first_aid.find(". ");
    return end == std::string_view::npos ? first_aid : first_aid.substr(0, end + 1);
}

bool is_information(std::string_view rule) {
    const Rule* found = built_in(rule);
    return found != nullptr && found->information;
}

bool explains(std::string_view cause, std::string_view rule) {
    const Rule* found = built_in(rule);
    return found != nullptr && found->explained_by.include(cause);
}

bool is_about_each_sensor(std::string_view rule) {
    const Rule* found = built_in(rule);
    return found != nullptr && found->about == Rule::About::each_sensor;
}

}  // namespace gyled::alarms
