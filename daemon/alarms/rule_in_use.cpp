#include "daemon/alarms/rule_in_use.hpp"

#include <algorithm>

#include "daemon/alarms/rules.hpp"

namespace gyled::alarms {
namespace {

RuleInUse untuned(const Rule& rule, std::string name) {
    return {.rule = &rule,
            .own_threshold = {},
            .name = std::move(name),
            .priority = rule.info.priority,
            .on_delay = rule.on_delay,
            .off_delay = rule.off_delay,
            .deadband = rule.deadband};
}

void tune(RuleInUse& use, const RuleTuning& tuning) {
    if (tuning.priority) {
        use.priority = *tuning.priority;
        use.priority_tuned = true;
    }
    if (tuning.on_delay) {
        use.on_delay = *tuning.on_delay;
        use.on_delay_tuned = true;
    }
    use.off_delay = tuning.off_delay.value_or(use.off_delay);
    use.deadband = tuning.deadband.value_or(use.deadband);
}

/// Those that concern the vessel and may be used, what is said for all vessels first.
std::vector<RuleTuning> usable(const std::string& vessel, const std::vector<RuleTuning>& tunings) {
    std::vector<RuleTuning> out;
    std::copy_if(tunings.begin(), tunings.end(), std::back_inserter(out), [&](const RuleTuning& tuning) {
        return (!tuning.vessel || *tuning.vessel == vessel) && check(tuning).empty();
    });
    std::stable_partition(out.begin(), out.end(), [](const RuleTuning& tuning) { return !tuning.vessel; });
    return out;
}

std::optional<RuleInUse> built_in(const Rule& rule, const std::vector<RuleTuning>& tunings) {
    RuleInUse use = untuned(rule, std::string(rule.info.name));
    bool enabled = true;
    for (const RuleTuning& tuning : tunings) {
        if (tuning.rule != use.name) continue;
        tune(use, tuning);
        enabled = tuning.enabled.value_or(enabled);
    }
    return enabled ? std::optional{std::move(use)} : std::nullopt;
}

bool is_of_the_watch(const Rule& rule) {
    return rule.about == Rule::About::watch || rule.about == Rule::About::each_impairment;
}

RuleInUse own(const RuleTuning& threshold) {
    RuleInUse use = untuned(own_threshold_rule(), threshold.rule);
    use.deadband = usual_deadband(*threshold.quantity);
    use.own_threshold = threshold;
    tune(use, threshold);
    return use;
}

bool contains(const std::vector<RuleInUse>& rules, const std::string& name) {
    return std::any_of(rules.begin(), rules.end(), [&](const RuleInUse& use) { return use.name == name; });
}

}  // namespace

std::vector<RuleInUse> rules_in_use(const std::string& vessel, const std::vector<RuleTuning>& tunings) {
    const std::vector<RuleTuning> meant = usable(vessel, tunings);
    std::vector<RuleInUse> out;
    for (const Rule* rule : built_in_rules()) {
        if (is_of_the_watch(*rule) != vessel.empty()) continue;
        if (auto use = built_in(*rule, meant)) out.push_back(std::move(*use));
    }
    if (vessel.empty()) return out;
    for (const RuleTuning& tuning : meant)
        if (tuning.quantity && tuning.enabled.value_or(true) && !contains(out, tuning.rule))
            out.push_back(own(tuning));
    return out;
}

EvaluationInput RuleInUse::tuned(EvaluationInput input) const {
    input.deadband = deadband;
    input.own_threshold = own_threshold ? &*own_threshold : nullptr;
    return input;
}

Duration RuleInUse::on_delay_in(const std::optional<base::StageKind>& stage) const {
    const bool is_by_stage = stage && rule->on_delay_in != nullptr && !on_delay_tuned;
    return is_by_stage ? rule->on_delay_in(*stage) : on_delay;
}

Priority RuleInUse::priority_of(const Evaluation& evaluation) const {
    const Priority found = evaluation.urgency.value_or(priority);
    if (!priority_tuned) return found;
    return rule->escalates && evaluation.urgency ? std::max(found, priority) : priority;
}

}  // namespace gyled::alarms
