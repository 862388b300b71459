#include "daemon/batch/move.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "daemon/base/stage_words.hpp"

namespace gyled::batch {
namespace {

using Target = base::Result<std::size_t, std::string>;

std::string stage_words(const Plan& plan, std::size_t index) {
    return base::spoken(plan.stages.at(index).kind);
}

Target next_of(const Plan& plan, std::size_t index) {
    if (index + 1 < plan.stages.size()) return index + 1;
    return base::Unexpected{fmt::format("The plan of '{}' has {} stages; there is no number {}.", plan.name,
                                        plan.stages.size(), index + 2)};
}

Target past_next_of(const Plan& plan, std::size_t index) {
    auto left_out = next_of(plan, index);
    if (!left_out) return left_out;
    if (*left_out + 1 < plan.stages.size()) return *left_out + 1;
    return base::Unexpected{
        fmt::format("The plan of '{}' ends with {}: after that there is nothing to go to.", plan.name,
                    stage_words(plan, *left_out))};
}

Target before(const Plan& plan, std::size_t index) {
    if (index > 0) return index - 1;
    return base::Unexpected{fmt::format("The plan of '{}' begins with {}: there is no stage before it.",
                                        plan.name, stage_words(plan, index))};
}

}  // namespace

Target target_of(Move move, const Record& record) {
    const std::size_t index = record.stages.back().index;
    switch (move) {
        case Move::skip:
            return past_next_of(record.plan, index);
        case Move::back:
            return before(record.plan, index);
        case Move::next:
            break;
    }
    return next_of(record.plan, index);
}

std::string_view name(StageState state) {
    constexpr std::array<std::string_view, 4> names{"past", "skipped", "now", "to_come"};
    return names.at(static_cast<std::size_t>(state));
}

StageState state_of(std::size_t index, const std::vector<Record::Entered>& entered) {
    if (entered.empty() || index > entered.back().index) return StageState::to_come;
    if (index == entered.back().index) return StageState::now;
    const bool was_entered = std::any_of(entered.begin(), entered.end(),
                                         [&](const Record::Entered& one) { return one.index == index; });
    return was_entered ? StageState::past : StageState::skipped;
}

}  // namespace gyled::batch
