#include "daemon/batch/reminders.hpp"

#include "daemon/base/stage_words.hpp"

namespace gyled::batch {
namespace {

using When = StageEnd::When;

/// Minutes of the rest to come; nothing while they do not count.
std::optional<Duration> left_of(const StagePlan& stage, const StageClock& clock) {
    if (stage.end.when != When::time_in_band || !stage.end.duration || !clock.in_band_seen)
        return std::nullopt;
    return *stage.end.duration - clock.in_band;
}

}  // namespace

bool is_soon(const StagePlan& stage, const Record::Entered& entered, const StageClock& clock, Timestamp now,
             std::optional<Timestamp> expected, const ReminderParameters& parameters) {
    if (!base::is_brew_day(stage.kind) || entered.soon_told || entered.end_reached) return false;
    if (const auto left = left_of(stage, clock))
        return *left <= parameters.ahead && *stage.end.duration >= parameters.worth_it;
    return stage.end.when == When::temperature_reached && expected && *expected - now <= parameters.ahead &&
           *expected - entered.at >= parameters.worth_it;
}

std::span<const Addition> due_additions(const StagePlan& stage, const Record::Entered& entered,
                                        const StageClock& clock) {
    const auto left = left_of(stage, clock);
    std::size_t due = entered.additions_told;
    while (left && due < stage.additions.size() && *left <= stage.additions[due].before_end) ++due;
    return std::span{stage.additions}.subspan(std::min(entered.additions_told, stage.additions.size()),
                                              due - std::min(entered.additions_told, due));
}

}  // namespace gyled::batch
