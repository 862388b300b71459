#include "sensors/waiting.hpp"

#include <utility>

namespace gyled::sensors {

void Waiting::add(const Sample& sample, const Message& message) {
    if (samples_.empty()) topic_ = message.topic;
    no_arrival_ = no_arrival_ || message.stamp == Stamp::lost;
    samples_.push_back(sample);
    arrivals_.push_back(message.arrived);
}

void Waiting::set_clock(const base::ClockSet& set) {
    for (Timestamp& arrived : arrivals_) set.rename(arrived);
    set.rename(since_);
    set.rename(grown_at_);
}

std::optional<Held> Waiting::due(Timestamp now, const BacklogParameters& with) {
    if (empty()) return std::nullopt;
    if (seen_ == 0) since_ = now;
    if (std::exchange(seen_, samples_.size()) != samples_.size()) grown_at_ = now;
    const bool has_ended = now - grown_at_ >= with.quiet;
    if (!has_ended && now - since_ < with.held_most && samples_.size() < with.held_count_most)
        return std::nullopt;
    if (no_arrival_) return Held::no_arrival;
    return has_ended ? Held::all : Held::some;
}

}  // namespace gyled::sensors
