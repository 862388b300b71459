/// A batch file: what is to become of one batch, stage by stage.

#include <fmt/format.h>

#include <algorithm>
#include <functional>

#include "daemon/batch/plate_check.hpp"
#include "daemon/brewing/atmosphere.hpp"
#include "daemon/config/readers.hpp"

namespace gyled::config {
namespace {

using namespace std::chrono_literals;
using base::Culture;
using base::HeadSpace;
using base::StageKind;
using batch::Plan;
using batch::StageEnd;
using batch::StagePlan;
using When = batch::StageEnd::When;

constexpr Limits temperature_c{-5, 110};
constexpr Limits pressure_kpa{-100, 2000};

const Choices<When> whens{{"by_hand", When::by_hand},
                          {"temperature_reached", When::temperature_reached},
                          {"time_in_band", When::time_in_band},
                          {"terminal_gravity", When::terminal_gravity},
                          {"carbonated", When::carbonated}};

batch::StageEnd read_end(Section& stage_section, const batch::StagePlan& stage, const batch::Plan& plan) {
    batch::StageEnd end;
    auto section = stage_section.table("end");
    if (!section) return end;
    section->require({"when"});
    section->choice("when", end.when, whens);
    section->number("temperature_c", end.temperature_c, temperature_c);
    section->duration("duration", end.duration, {1s, 24h * 365});
    if (end.when == When::temperature_reached)
        section->require({"temperature_c"});
    else
        section->refuse({"temperature_c"}, "is for when = \"temperature_reached\"");
    if (end.when == When::time_in_band) {
        section->require({"duration"});
        if (!stage.temperature_c)
            section->mistake("when", "when: time_in_band needs the stage's temperature_c = [low, high]");
    } else {
        section->refuse({"duration"}, "is for when = \"time_in_band\"");
    }
    if (end.when == When::carbonated && !plan.target_co2_volumes)
        section->mistake("when", "when: carbonated needs the batch's target_co2_volumes");
    section->finish();
    return end;
}

void check_head_space(Section& section, const batch::StagePlan& stage) {
    const bool holds_a_pressure =
        stage.head_space == HeadSpace::spunded || stage.head_space == HeadSpace::supplied;
    if (holds_a_pressure && !section.has("head_pressure_kpa"))
        section.mistake(
            "head_space",
            fmt::format("head_space: {} needs head_pressure_kpa, the gauge pressure at which the {} is set",
                        base::name(stage.head_space),
                        stage.head_space == HeadSpace::spunded ? "spunding valve" : "regulator"));
    if (!holds_a_pressure && stage.head_pressure_kpa.value_or(0) != 0)
        section.mistake(
            "head_pressure_kpa",
            fmt::format("head_pressure_kpa: a {} head space holds no set pressure; for a valve or "
                        "regulator write head_space = \"spunded\" or \"supplied\"",
                        base::name(stage.head_space)));
}

void check_tightness(Section& section, const batch::StagePlan& stage) {
    if (stage.kind == StageKind::tightness && stage.head_space != HeadSpace::sealed)
        section.mistake("head_space",
                        "head_space: a tightness test needs \"sealed\": a vent, a valve or a regulator "
                        "would hold the pressure or let it go");
}

/// The earliest first, whatever their order in the file.
std::vector<batch::Addition> read_additions(Section& stage_section, const batch::StageEnd& end) {
    std::vector<batch::Addition> additions;
    for (Section& section : stage_section.tables("additions")) {
        batch::Addition& addition = additions.emplace_back();
        section.require({"what", "before_end"});
        section.text("what", addition.what);
        if (section.has("what") && (addition.what.empty() || addition.what.size() > 60))
            section.mistake("what", "what: 1 to 60 characters");
        section.duration("before_end", addition.before_end, {0s, 24h});
        if (end.duration && addition.before_end > *end.duration)
            section.mistake("before_end", fmt::format("before_end: the stage lasts {} only",
                                                      display::duration_text(*end.duration)));
        section.finish();
    }
    if (!additions.empty() && end.when != When::time_in_band)
        stage_section.mistake("additions",
                              "additions: are reckoned from the end of a stage with when = \"time_in_band\"");
    std::ranges::stable_sort(additions, std::greater{}, &batch::Addition::before_end);
    return additions;
}

batch::StagePlan read_stage(Section& section, const batch::Plan& plan) {
    batch::StagePlan stage;
    section.require({"kind"});
    using enum StageKind;
    section.choice("kind", stage.kind,
                   choices({strike, mash, mash_out, sparge, boil, chill, ferment, rest, crash, carbonate,
                            condition, serve, clean, rinse, sanitise, purge, tightness}));
    section.moment("start", stage.start);
    section.band("temperature_c", stage.temperature_c, temperature_c);
    section.band("pressure_kpa", stage.pressure_kpa, pressure_kpa);
    section.choice("head_space", stage.head_space,
                   choices({HeadSpace::vented, HeadSpace::spunded, HeadSpace::sealed, HeadSpace::supplied}));
    section.number("head_pressure_kpa", stage.head_pressure_kpa, {0, pressure_kpa.high});
    check_head_space(section, stage);
    check_tightness(section, stage);
    stage.end = read_end(section, stage, plan);
    stage.additions = read_additions(section, stage.end);
    section.finish();
    return stage;
}

void check_gravities(Section& root, const batch::Plan& plan) {
    if (plan.original_gravity && plan.expected_final_gravity &&
        *plan.expected_final_gravity >= *plan.original_gravity)
        root.mistake("expected_final_gravity",
                     "expected_final_gravity: not below original_gravity, so nothing would ferment");
}

/// At the key that is meant, in the stage or in the batch; at the stage's head when neither says it.
void tell(const batch::Finding& finding, Section& root, std::vector<Section>& stages) {
    Section* const stage = finding.stage ? &stages.at(*finding.stage) : nullptr;
    Section& place = stage != nullptr && (stage->has(finding.key) || !root.has(finding.key)) ? *stage : root;
    if (finding.severity == batch::Severity::dangerous)
        place.mistake(finding.key, finding.text);
    else
        place.warning(finding.key, finding.text);
}

/// What its vessel does not bear of the plan.
void compare(const batch::Plan& plan, Section& root, std::vector<Section>& stages, const Config& config) {
    check_vessel_exists(root, "vessel", plan.vessel, config.vessels);
    for (const batch::VesselSpec& vessel : config.vessels) {
        if (vessel.id != plan.vessel) continue;
        const batch::Surroundings around{vessel, brewing::atmosphere_at(config.site.elevation_m),
                                         config.site.display};
        for (const batch::Finding& finding : batch::check_plan(plan, around)) tell(finding, root, stages);
    }
}

}  // namespace

batch::Plan read_batch(Section& root, const Config* against) {
    batch::Plan plan;
    root.require({"name", "vessel", "volume_l"});
    root.text("name", plan.name);
    if (root.has("name") && (plan.name.empty() || plan.name.size() > 100))
        root.mistake("name", "name: 1 to 100 characters");
    root.identifier("vessel", plan.vessel);
    root.number("volume_l", plan.volume_l, {0.1, 100'000});
    root.number("original_gravity", plan.original_gravity, {1.000, 1.200});
    root.number("expected_final_gravity", plan.expected_final_gravity, {0.980, 1.100});
    check_gravities(root, plan);
    root.choice("culture", plan.culture, choices({Culture::ale, Culture::lager, Culture::mixed}));
    root.text("culture_name", plan.culture_name);
    root.number("target_co2_volumes", plan.target_co2_volumes, {0, 6});
    std::optional<base::Timestamp> last;
    std::vector<Section> stages = root.tables("stage");
    for (Section& section : stages) {
        plan.stages.push_back(read_stage(section, plan));
        const auto& start = plan.stages.back().start;
        if (start && last && *start < *last)
            section.mistake("start", "start: before the start of an earlier stage");
        if (start) last = start;
    }
    if (plan.stages.empty() && !root.has("stage"))
        root.report().add({}, "a batch needs at least one [[stage]]");
    if (against != nullptr && root.report().clean()) compare(plan, root, stages, *against);
    return plan;
}

}  // namespace gyled::config
