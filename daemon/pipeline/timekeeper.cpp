#include "daemon/pipeline/timekeeper.hpp"

#include <algorithm>
#include <utility>

namespace gyled::pipeline {
namespace {

bool agree(Duration a, Duration b, Duration within) {
    return std::chrono::abs(a - b) <= within;
}

}  // namespace

Timekeeper::Timekeeper(const Look& first, Timestamp last_word, TimekeeperParameters parameters)
    : parameters_{parameters}, offset_{}, unset_{!is_plausible(first)} {
    began_ = first.wall;
    if (unset_)
        began_ = std::max(last_word, parameters_.earliest);
    else if (last_word - first.wall <= parameters_.behind_most)
        began_ = std::max(last_word, first.wall);
    offset_ = began_.time_since_epoch() - first.steady;
}

bool Timekeeper::is_plausible(const Look& now) const {
    return now.synchronised || now.wall >= parameters_.earliest;
}

std::optional<base::ClockSet> Timekeeper::look(const Look& now) {
    const Duration wall = now.wall.time_since_epoch() - now.steady;
    if (unset_) {
        if (!is_plausible(now)) return std::nullopt;
        return follow(now);
    }
    if (agree(wall, offset_, parameters_.step)) {
        offset_ = wall;
        if (candidate_) jump_->now = ClockJump::Now::over;
        candidate_.reset();
        return std::nullopt;
    }
    if (!candidate_ || !agree(wall, candidate_->offset, parameters_.step)) {
        note_jump(now);
        candidate_ = {wall, now.steady};
        return std::nullopt;
    }
    if (!is_plausible(now) || now.steady - candidate_->since < parameters_.believed_after)
        return std::nullopt;
    jump_->now = ClockJump::Now::followed;
    return follow(now);
}

void Timekeeper::note_jump(const Look& now) {
    jump_ = ClockJump{.from = at(now.steady), .to = now.wall, .since = now.steady};
}

base::ClockSet Timekeeper::follow(const Look& now) {
    base::ClockSet set{.from = at(now.steady), .to = now.wall};
    if (std::exchange(unset_, false)) set.false_since = began_;
    offset_ = now.wall.time_since_epoch() - now.steady;
    candidate_.reset();
    return set;
}

}  // namespace gyled::pipeline
