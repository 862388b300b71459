/// [[alarm]]: tunes a built-in rule, or states a threshold of one's own.

#include <fmt/format.h>

#include "daemon/alarms/rules.hpp"
#include "daemon/config/readers.hpp"

namespace gyled::config {
namespace {

using namespace std::chrono_literals;
using alarms::RuleTuning;
using base::Quantity;

Choices<Quantity> quantities_with_thresholds() {
    Choices<Quantity> out;
    for (const Quantity quantity : base::all_quantities())
        if (!base::is_moment(quantity)) out.emplace_back(base::name(quantity), quantity);
    return out;
}

/// Limits of one's own are written in `unit`; the deadband is a difference in it.
void convert(Section& section, RuleTuning& tuning, const std::string& unit) {
    if (unit.empty()) return;
    if (!tuning.quantity) {
        section.mistake("unit", "unit: belongs to quantity, above and below; a built-in rule has its own");
        return;
    }
    const Quantity quantity = *tuning.quantity;
    if (!sensors::unit_fits(quantity, unit)) {
        const std::vector<std::string> units = sensors::units_for(quantity);
        section.mistake("unit", fmt::format("unit: '{}' is not a unit of {}{}", unit, base::name(quantity),
                                            hint(unit, Words{units.begin(), units.end()})));
        return;
    }
    const auto canonical = [&](double value) { return sensors::to_canonical(quantity, unit, value); };
    const double near = tuning.above ? *tuning.above : tuning.below.value_or(0);
    if (tuning.deadband)
        tuning.deadband = canonical(near + *tuning.deadband / 2) - canonical(near - *tuning.deadband / 2);
    for (std::optional<double>* const limit : {&tuning.above, &tuning.below})
        if (*limit) *limit = canonical(**limit);
}

void check_rule(Section& section, const RuleTuning& tuning) {
    Words known;
    for (const alarms::RuleInfo& info : alarms::rule_infos()) known.push_back(info.name);
    const bool unknown =
        !tuning.quantity && std::find(known.begin(), known.end(), tuning.rule) == known.end();
    for (const std::string& objection : alarms::check(tuning))
        if (unknown && objection.find(tuning.rule) != objection.npos)
            section.mistake("rule", objection + hint(tuning.rule, known));
        else
            section.objection(objection, "rule");
}

RuleTuning read_alarm(Section& section, const std::vector<batch::VesselSpec>& vessels) {
    RuleTuning tuning;
    const std::size_t mistakes_before = section.report().count();
    section.require({"rule"});
    section.identifier("rule", tuning.rule);
    std::string vessel;
    section.text("vessel", vessel);
    if (section.has("vessel")) {
        check_vessel_exists(section, "vessel", vessel, vessels);
        tuning.vessel = vessel;
    }
    section.flag("enabled", tuning.enabled);
    section.flag("i_accept_the_risk", tuning.accept_the_risk);
    using enum alarms::Priority;
    section.choice("priority", tuning.priority, choices({low, medium, high, critical}));
    section.duration("on_delay", tuning.on_delay, {0s, 24h * 30});
    section.duration("off_delay", tuning.off_delay, {0s, 24h * 30});
    section.number("deadband", tuning.deadband, {0, 1e6});
    section.choice("quantity", tuning.quantity, quantities_with_thresholds());
    section.number("above", tuning.above);
    section.number("below", tuning.below);
    std::string unit;
    section.text("unit", unit);
    section.text("text", tuning.text);
    section.finish();
    if (section.report().count() == mistakes_before) convert(section, tuning, unit);
    if (section.report().count() == mistakes_before) check_rule(section, tuning);
    return tuning;
}

}  // namespace

std::vector<RuleTuning> read_alarms(Section& root, const std::vector<batch::VesselSpec>& vessels) {
    std::vector<RuleTuning> tunings;
    Names names;
    for (Section& section : root.tables("alarm")) {
        tunings.push_back(read_alarm(section, vessels));
        const RuleTuning& tuning = tunings.back();
        if (!tuning.rule.empty())
            names.add(section, "rule", tuning.rule + (tuning.vessel ? " of " + *tuning.vessel : ""));
    }
    return tunings;
}

}  // namespace gyled::config
