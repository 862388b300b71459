#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"

// What the estimators hold to have happened. They decide with their intervals; here a fact becomes words.
namespace gyled::alarms {
namespace {

using base::headline;
using estimation::Fact;
using estimation::FactKind;

/// The newest of a kind, revoked or not.
const Fact* newest(const Situation& now, FactKind kind) {
    const Fact* found = nullptr;
    for (const Fact& fact : now.facts)
        if (fact.kind == kind && (found == nullptr || fact.at >= found->at)) found = &fact;
    return found;
}

bool is_overtaken(const Situation& now, const Fact& fact, FactKind by) {
    const Fact* later = newest(now, by);
    return later != nullptr && !later->revoked && later->at > fact.at;
}

constexpr bool is_news(FactKind kind) {
    return kind == FactKind::fermentation_started || kind == FactKind::fermentation_finished ||
           kind == FactKind::carbonated || kind == FactKind::doughed_in;
}

/// What is held to be so is evidence of this moment; news is as old as its fact.
template <FactKind kind>
Evaluation fact(const EvaluationInput& input) {
    const Fact* found = newest(input.now, kind);
    if (found == nullptr) return {.condition = Condition::not_applicable};
    bool holds = !found->revoked;
    if constexpr (kind == FactKind::fermentation_stalled)
        holds = holds && !is_overtaken(input.now, *found, FactKind::fermentation_resumed) &&
                !is_overtaken(input.now, *found, FactKind::fermentation_finished);
    if constexpr (kind == FactKind::fermentation_resumed)
        holds = holds && !is_overtaken(input.now, *found, FactKind::fermentation_finished);
    return {.condition = holds ? Condition::beyond : Condition::within,
            .at = holds && is_news(kind) ? found->at : input.now.at,
            .fact = found};
}

std::string sentence(std::string text) {
    if (!text.empty() && text.back() != '.') text += '.';
    return text;
}

template <FactKind kind>
constexpr std::string_view begins() {
    switch (kind) {
        case FactKind::fermentation_started:
            return ": fermentation has started";
        case FactKind::fermentation_stalled:
            return ": fermentation has stalled";
        case FactKind::fermentation_finished:
            return ": fermentation has finished";
        case FactKind::fermentation_resumed:
            return ": fermentation has restarted";
        case FactKind::carbonated:
            return ": carbonated";
        case FactKind::leak_suspected:
            return ": gas may be leaking";
        case FactKind::doughed_in:
            return ": the grain is in";
        case FactKind::fermentation_overdue:
            return ": fermentation has not begun";
        case FactKind::relief_opened:
        case FactKind::purged:
        case FactKind::shut_in_wanted:
        case FactKind::gauge_contradicts:
            break;
    }
    return {};
}

template <FactKind kind>
Message raised(const MessageContext& context) {
    std::string text = "Seen at " + context.display.local(context.evaluation.fact->at) + ".";
    if (!context.evaluation.fact->evidence.empty()) text = sentence(context.evaluation.fact->evidence);
    return {.title = headline(vessel_name(context.input), begins<kind>()), .text = text};
}

template <FactKind kind>
Message returned(const MessageContext& context) {
    const Fact& fact = *context.evaluation.fact;
    constexpr std::string_view ends =
        kind == FactKind::fermentation_started    ? ": not started after all"
        : kind == FactKind::fermentation_stalled  ? ": no longer stalled"
        : kind == FactKind::fermentation_finished ? ": not finished after all"
        : kind == FactKind::fermentation_resumed  ? ": fermentation has stopped again"
        : kind == FactKind::carbonated            ? ": not carbonated after all"
        : kind == FactKind::doughed_in            ? ": the grain is not in after all"
        : kind == FactKind::fermentation_overdue  ? ": fermentation has begun after all"
                                                  : ": leak no longer suspected";
    std::string text = sentence(fact.revoked && !fact.revoked_because.empty()
                                    ? fact.revoked_because
                                    : "It was so from " + context.display.local(fact.at) + " on");
    return {.title = headline(vessel_name(context.input), ends), .text = text};
}

template <FactKind kind>
constexpr Rule rule(RuleInfo info, std::string_view first_aid, Causes explained_by = {}) {
    return {.info = info,
            .information = is_news(kind),
            .explained_by = explained_by,
            .first_aid = first_aid,
            .evaluate = fact<kind>,
            .raised = raised<kind>,
            .returned = returned<kind>};
}

constexpr std::array rules{
    rule<FactKind::fermentation_resumed>(
        {"fermentation_resumed", "fermentation that had finished has restarted", Priority::high, false},
        "Check the pressure now: a closed or packaged vessel may build pressure beyond its rating. If the "
        "vessel is closed, open it to its spunding valve or vent; never loosen a fitting under pressure. "
        "Chill packaged bottles and keep away from them."),
    rule<FactKind::fermentation_stalled>(
        {"fermentation_stalled", "gravity has stopped well above where it should end", Priority::medium,
         false},
        "Check the temperature, then take a sample by hand. Do not close or package it: it may start again."),
    rule<FactKind::fermentation_overdue>(
        {"fermentation_overdue", "the culture would nearly always have begun by now", Priority::medium,
         false},
        "Check the temperature, then take a sample by hand: a float may be stuck. If the gravity is still "
        "the "
        "original one, have fresh yeast ready: wort that waits for its yeast feeds others."),
    rule<FactKind::leak_suspected>(
        {"leak_suspected", "head pressure falls more than beer can take up", Priority::high, false},
        "Open doors or run the fan before you go in: CO2 lies low and has no smell. If you feel dizzy, get "
        "out. "
        "Then put soapy water on the fittings, and look at the cylinder's gauge."),
    rule<FactKind::fermentation_started>(
        {"fermentation_started", "the yeast is at work", Priority::low, false}, ""),
    rule<FactKind::fermentation_finished>(
        {"fermentation_finished", "gravity has stopped where it should", Priority::low, false},
        "Take two equal hydrometer readings, two days apart, before you close, crash or package.",
        "fermentation_resumed"),
    rule<FactKind::carbonated>({"carbonated", "the target of dissolved CO2 is reached", Priority::low, false},
                               ""),
    rule<FactKind::doughed_in>({"doughed_in", "the grain has met the liquor", Priority::low, false},
                               "Stir, then look at the temperature again: layers even out within minutes. "
                               "The liquor scalds."),
};

}  // namespace

std::span<const Rule> fact_rules() {
    return rules;
}

}  // namespace gyled::alarms
