#include <algorithm>

#include "daemon/alarms/judging.hpp"

// A threshold of the person's own: [[alarm]] with a quantity and above or below (or both).
namespace gyled::alarms {
namespace {

using namespace std::chrono_literals;

std::optional<Latest> seen(const Situation& now, base::Quantity quantity) {
    if (base::is_measured(quantity)) return current(now, quantity);
    const auto value = believed(now, quantity);
    if (!value) return std::nullopt;
    return Latest{.value = *value, .at = now.at};
}

Finding judge(const Scene& scene) {
    const RuleTuning& own = *scene.own;
    const auto latest = seen(scene.now, *own.quantity);
    if (!latest) return {};
    if (own.above && own.below)
        return against_band(*latest, {.low = *own.below, .high = *own.above}, scene.deadband);
    const double limit = own.above ? *own.above : *own.below;
    return {.verdict = own.above ? above(latest->value, limit, scene.deadband)
                                 : below(latest->value, limit, scene.deadband),
            .at = latest->at,
            .value = latest->value,
            .limit = limit,
            .low_side = !own.above};
}

Words raised(const Story& story) {
    const RuleTuning& own = *story.scene.own;
    const Finding& f = story.finding;
    const std::string value = story.display.text(*own.quantity, *f.value);
    const std::string figures = spoken(base::name(*own.quantity)) + " " + value +
                                (f.low_side ? ", below " : ", above ") +
                                story.display.text(*own.quantity, *f.limit);
    return {.title = headline(who(story.scene), ": " + (own.text.empty() ? figures : own.text)),
            .text = (own.text.empty() ? "" : own.text + ": ") + figures + " for " +
                    display::duration_text(std::max(story.lasted, Duration::zero())) + "."};
}

Words over(const Story& story) {
    const RuleTuning& own = *story.scene.own;
    return {.title = headline(who(story.scene), ": over, " + spoken(base::name(*own.quantity)) + " " +
                                                    story.display.text(*own.quantity, *story.finding.value)),
            .text = (own.text.empty() ? spoken(own.rule) : own.text) + " is over. " +
                    lasted_and_worst(story, *own.quantity)};
}

}  // namespace

const Rule& own_threshold_rule() {
    static constexpr Rule rule{.info = {.name = "",
                                        .meaning = "a threshold of your own",
                                        .priority = Priority::medium,
                                        .safety = false},
                               .on_delay = 5min,
                               .off_delay = 1min,
                               .explained_by = {},
                               .first_aid = {},
                               .judge = judge,
                               .raised = raised,
                               .over = over};
    return rule;
}

double usual_deadband(base::Quantity quantity) {
    using enum base::Quantity;
    switch (quantity) {
        case beer_temperature:
        case jacket_temperature:
        case room_temperature:
            return 0.3;
        case head_pressure:
        case supply_pressure:
        case pressure_headroom:
        case warm_pressure:
        case crash_pressure:
            return 3;
        case barometric_pressure:
            return 0.5;
        case gravity:
        case gravity_now:
        case final_gravity:
        case gravity_rate:
            return 0.001;
        case co2_volumes:
        case co2_equilibrium_volumes:
        case residual_co2_potential:
        case battery_voltage:
            return 0.05;
        case apparent_attenuation:
        case real_attenuation:
            return 1;
        case alcohol_by_volume:
            return 0.1;
        case signal_strength:
            return 3;
        case finish_time:
        case carbonated_time:
        case limit_time:
        case ready_time:
            break;
    }
    return 0;
}

}  // namespace gyled::alarms
