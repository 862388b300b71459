#include <algorithm>
#include <array>

#include "tests/simulation/ferments/judge/rows.hpp"

namespace gyled::ferment_worlds {
namespace {

using base::Estimate;
using base::Quantity;

struct Question {
    const char* row;
    double share;
};
constexpr std::array finish_at{Question{"finish_time at 40 %, ", 0.4}, Question{"finish_time at 60 %, ", 0.6},
                               Question{"finish_time at 80 %, ", 0.8}};
constexpr std::array final_at{Question{"final_gravity at half, ", 0.5},
                              Question{"final_gravity at three quarters, ", 0.75}};

std::optional<Estimate> in_points(std::optional<Estimate> sg) {
    if (sg)
        for (double* value : {&sg->value, &sg->low, &sg->high}) *value = 1000 * (*value - 1);
    return sg;
}

std::optional<Estimate> in_hours(std::optional<Estimate> unix_s, Timestamp since) {
    if (unix_s)
        for (double* value : {&unix_s->value, &unix_s->low, &unix_s->high})
            *value = (*value - base::unix_seconds(since)) / 3600;
    return unix_s;
}

/// In the family's own row, and in that of all.
template <typename Look>
void in_its_rows(const World& world, const char* row, const Look& look) {
    look(row + world.family);
    if (is_published(world.family)) look(row + std::string{"all families"});
}

void ask_finish(const Lived& lived, const Question& question, Ledger& ledger) {
    const World& world = lived.world;
    const auto asked = world.hour_of_share(question.share);
    const auto end = world.hour_within(end_sg);
    if (!asked || !end || (world.chilled_h && *world.chilled_h < *end)) return;
    const Timestamp at = world.time_of(*asked);
    const judging::Answer beside{.truth = *end, .world = world.name()};
    const auto told = in_hours(lived.diary.believed(at, Quantity::finish_time), world.begin);
    const auto fitted = in_hours(five_parameter_fit(world, at).finish, world.begin);
    const auto line = in_hours(two_day_line(world, at).finish, world.begin);
    in_its_rows(world, question.row, [&](const std::string& row) {
        ledger.look(row, told ? &*told : nullptr, beside);
        ledger.look_beside(fit_method, row, fitted, beside);
        ledger.look_beside(line_method, row, line, beside);
    });
}

void ask_final(const Lived& lived, const Question& question, Ledger& ledger) {
    const World& world = lived.world;
    const auto asked = world.hour_of_share(question.share);
    if (!asked || !world.has_an_end || (world.chilled_h && *asked >= *world.chilled_h)) return;
    const Timestamp at = world.time_of(*asked);
    const judging::Answer beside{.truth = 1000 * (world.terminal_sg - 1), .world = world.name()};
    const auto told = in_points(lived.diary.believed(at, Quantity::final_gravity));
    const auto fitted = in_points(five_parameter_fit(world, at).final);
    const auto last = in_points(last_reading(world, at).final);
    in_its_rows(world, question.row, [&](const std::string& row) {
        ledger.look(row, told ? &*told : nullptr, beside);
        ledger.look_beside(fit_method, row, fitted, beside);
        ledger.look_beside(last_method, row, last, beside);
    });
}

}  // namespace

void judge_forecasts(const Lived& lived, Ledger& ledger) {
    for (const Question& question : finish_at) ask_finish(lived, question, ledger);
    for (const Question& question : final_at) ask_final(lived, question, ledger);
}

void judge_now(const Lived& lived, Ledger& ledger) {
    constexpr double look_every_h = 6;
    const World& world = lived.world;
    for (double hour = look_every_h; hour <= world.hours(); hour += look_every_h) {
        const Timestamp at = world.time_of(hour);
        const std::string in_phase = ", " + phase_of(world, hour) + ", " + world.family;
        const double points = 1000 * (world.at(hour).sg - 1), original = 1000 * (world.original_sg - 1);
        const judging::Answer gravity{.truth = points, .world = world.name()};
        const auto now = in_points(lived.diary.believed(at, Quantity::gravity_now));
        ledger.look("gravity_now" + in_phase, now ? &*now : nullptr, gravity);
        ledger.look_beside(last_method, "gravity_now" + in_phase, in_points(last_reading(world, at).now),
                           gravity);
        const judging::Answer attenuation{.truth = 100 * (original - points) / original,
                                          .world = world.name()};
        const auto gone = lived.diary.believed(at, Quantity::apparent_attenuation);
        ledger.look("apparent_attenuation" + in_phase, gone ? &*gone : nullptr, attenuation);
    }
}

}  // namespace gyled::ferment_worlds
