#include "daemon/mqtt/resent.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <boost/crc.hpp>
#include <functional>
#include <utility>

namespace gyled::mqtt {

Resent::Resent(const std::string& path) {
    if (path.empty()) return;
    file_ = File{::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0640)};
    if (file_.descriptor() >= 0) load();
}

void Resent::load() {
    const std::size_t bytes = marks_.size() * sizeof(Mark);
    const auto whole = static_cast<ssize_t>(bytes);
    if (::pread(file_.descriptor(), marks_.data(), bytes, 0) != whole) {
        marks_.assign(remembered, {});
        if (::pwrite(file_.descriptor(), marks_.data(), bytes, 0) != whole) file_ = File{};
    }
    for (const Mark& mark : marks_) number_ = std::max(number_, mark.number);
    number_at_connection_ = number_;
}

std::uint64_t Resent::content_of(const sensors::Message& message) {
    boost::crc_32_type crc;
    crc.process_bytes(message.topic.data(), message.topic.size());
    crc.process_byte(0);  // no topic holds one
    crc.process_bytes(message.payload.data(), message.payload.size());
    return crc.checksum();
}

bool Resent::holds(std::uint64_t number, std::uint64_t content) const {
    const Mark& mark = marks_[number % remembered];
    return number > 0 && mark.number == number && mark.content == content;
}

void Resent::connected() {
    number_at_connection_ = number_;
    first_ = true;
    matches_.clear();
}

void Resent::note(const sensors::Message& message) {
    ++number_;
    Mark& mark = marks_[number_ % remembered];
    mark = {number_, content_of(message), message.arrived.time_since_epoch().count()};
    const auto place = static_cast<off_t>((number_ % remembered) * sizeof mark);
    if (file_.descriptor() >= 0 &&
        ::pwrite(file_.descriptor(), &mark, sizeof mark, place) != static_cast<ssize_t>(sizeof mark))
        file_ = File{};  // the spool tells that nothing can be written here
}

/// No two on one topic have one arrival.
void Resent::note_newest_spooled(const sensors::Message& message) {
    const std::uint64_t content = content_of(message);
    const std::int64_t arrived_ms = message.arrived.time_since_epoch().count();
    const bool is_noted = std::ranges::any_of(marks_, [&](const Mark& mark) {
        return mark.number > 0 && mark.content == content && mark.arrived_ms == arrived_ms;
    });
    if (!is_noted) note(message);
}

bool Resent::is_known(const sensors::Message& message) {
    const std::uint64_t content = content_of(message);
    std::vector<std::uint64_t> now;
    if (std::exchange(first_, false)) {
        for (const Mark& mark : marks_)
            if (holds(mark.number, content)) now.push_back(mark.number);
        std::ranges::sort(now, std::greater{});
        now.resize(std::min(now.size(), followed));
    } else {
        for (const std::uint64_t before : matches_)
            if (before < number_at_connection_ && holds(before + 1, content)) now.push_back(before + 1);
    }
    matches_ = std::move(now);
    return !matches_.empty();
}

std::optional<base::Timestamp> Resent::latest_arrival() const {
    std::optional<base::Timestamp> latest;
    for (const Mark& mark : marks_)
        if (mark.number > 0)
            latest = std::max(latest.value_or(base::Timestamp::min()),
                              base::Timestamp{base::Duration{mark.arrived_ms}});
    return latest;
}

}  // namespace gyled::mqtt
