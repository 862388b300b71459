#include <array>

#include "daemon/alarms/judging.hpp"

// What the estimators hold to have happened. They decide with their intervals; here a fact becomes words.
namespace gyled::alarms {
namespace {

using estimation::Fact;
using estimation::FactKind;

/// The newest of a kind, revoked or not.
const Fact* newest(const Situation& now, FactKind kind) {
    const Fact* found = nullptr;
    for (const Fact& fact : now.facts)
        if (fact.kind == kind && (found == nullptr || fact.at >= found->at)) found = &fact;
    return found;
}

bool overtaken(const Situation& now, const Fact& fact, FactKind by) {
    const Fact* later = newest(now, by);
    return later != nullptr && !later->revoked && later->at > fact.at;
}

template <FactKind kind>
Finding fact(const Scene& scene) {
    const Fact* found = newest(scene.now, kind);
    if (found == nullptr) return {.verdict = Verdict::dropped};
    bool holds = !found->revoked;
    if constexpr (kind == FactKind::fermentation_stalled)
        holds = holds && !overtaken(scene.now, *found, FactKind::fermentation_resumed) &&
                !overtaken(scene.now, *found, FactKind::fermentation_finished);
    if constexpr (kind == FactKind::fermentation_resumed)
        holds = holds && !overtaken(scene.now, *found, FactKind::fermentation_finished);
    return {.verdict = holds ? Verdict::beyond : Verdict::within, .at = scene.now.at, .fact = found};
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
            return ": fermentation works again";
        case FactKind::carbonated:
            return ": carbonated";
        case FactKind::leak_suspected:
            return ": gas may be leaking";
    }
    return {};
}

template <FactKind kind>
Words raised(const Story& story) {
    std::string text = "Seen at " + story.display.local(story.finding.fact->at) + ".";
    if (!story.finding.fact->evidence.empty()) text = sentence(story.finding.fact->evidence);
    return {.title = headline(who(story.scene), begins<kind>()), .text = text};
}

template <FactKind kind>
Words over(const Story& story) {
    const Fact& fact = *story.finding.fact;
    constexpr std::string_view ends = kind == FactKind::fermentation_started    ? ": not started after all"
                                      : kind == FactKind::fermentation_stalled  ? ": no longer stalled"
                                      : kind == FactKind::fermentation_finished ? ": not finished after all"
                                      : kind == FactKind::fermentation_resumed  ? ": quiet again"
                                      : kind == FactKind::carbonated            ? ": not carbonated after all"
                                                                     : ": no leak to be seen any more";
    std::string text = sentence(fact.revoked && !fact.revoked_because.empty()
                                    ? fact.revoked_because
                                    : "It was so from " + story.display.local(fact.at) + " on");
    return {.title = headline(who(story.scene), ends), .text = text};
}

template <FactKind kind>
constexpr Rule rule(RuleInfo info, bool information, std::string_view first_aid,
                    std::string_view explained_by = {}) {
    return {.info = info,
            .information = information,
            .explained_by = explained_by,
            .first_aid = first_aid,
            .judge = fact<kind>,
            .raised = raised<kind>,
            .over = over<kind>};
}

constexpr std::array rules{
    rule<FactKind::fermentation_resumed>(
        {"fermentation_resumed", "fermentation that had finished works again", Priority::high, false}, false,
        "A sealed or packaged vessel may build pressure beyond its rating: see to its vent and pressure "
        "first, and "
        "never loosen a fitting under pressure."),
    rule<FactKind::fermentation_stalled>(
        {"fermentation_stalled", "gravity has stopped well above where it should end", Priority::medium,
         false},
        false,
        "First check the temperature, then take a sample by hand. Do not seal or package it: it may start "
        "again."),
    rule<FactKind::leak_suspected>(
        {"leak_suspected", "head pressure falls more than beer can take up", Priority::high, false}, false,
        "Air the room before you go near: CO2 gathers low and cannot be smelt. Then check fittings with "
        "soapy water, "
        "and the bottle's content."),
    rule<FactKind::fermentation_started>(
        {"fermentation_started", "the yeast is at work", Priority::low, false}, true, ""),
    rule<FactKind::fermentation_finished>(
        {"fermentation_finished", "gravity has stopped where it should", Priority::low, false}, true,
        "Take a sample by hand before you package.", "fermentation_resumed"),
    rule<FactKind::carbonated>({"carbonated", "the target of dissolved CO2 is reached", Priority::low, false},
                               true, ""),
};

}  // namespace

std::span<const Rule> fact_rules() {
    return rules;
}

}  // namespace gyled::alarms
