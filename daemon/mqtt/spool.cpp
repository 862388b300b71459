#include "daemon/mqtt/spool.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/uio.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <filesystem>
#include <system_error>
#include <utility>

namespace gyled::mqtt {
namespace {

namespace fs = std::filesystem;

std::string reason() {
    return std::system_category().message(errno);
}

/// The numbers of the segments that stand in the spool's folder, ascending.
std::vector<std::uint64_t> segment_numbers(const fs::path& path) {
    std::vector<std::uint64_t> numbers;
    const std::string prefix = path.filename().string() + '.';
    for (const fs::directory_entry& entry : fs::directory_iterator{path.parent_path()}) {
        const std::string name = entry.path().filename().string();
        if (!name.starts_with(prefix)) continue;
        std::uint64_t number = 0;
        const char* const end = name.data() + name.size();
        const auto [stopped, error] = std::from_chars(name.data() + prefix.size(), end, number);
        if (error == std::errc{} && stopped == end) numbers.push_back(number);
    }
    std::ranges::sort(numbers);
    return numbers;
}

}  // namespace

Spool::Spool(std::string path, SpoolLimits limits) : path_{fs::absolute(path).string()}, limits_{limits} {
    const std::string lock_name = path_ + ".lock";
    lock_ = File{::open(lock_name.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0640)};
    if (lock_.descriptor() < 0)
        throw std::runtime_error("cannot open the spool " + lock_name + ": " + reason());
    if (::flock(lock_.descriptor(), LOCK_EX | LOCK_NB) != 0)
        throw SpoolInUse("the spool " + path_ + " is in use by another process");
    count_left_over();
    open_segment();
    if (file_.descriptor() < 0)
        throw std::runtime_error("cannot write the spool " + active_.name + ": " + reason());
}

Spool::~Spool() {
    if (active_.empty() && file_.descriptor() >= 0) ::unlink(active_.name.c_str());
}

// ---- what earlier runs left

void Spool::count_left_over() {
    for (const std::uint64_t number : segment_numbers(path_)) {
        Segment segment{path_ + '.' + std::to_string(number), sequence_last_ + 1, 0, 0};
        SegmentReader reader{segment.name};
        while (auto record = reader.next()) {
            segment.bytes += record_bytes(record->message);
            ++sequence_last_;
            newest_left_over_ = std::move(record);
        }
        torn_bytes_ += reader.torn_bytes();
        segment.bytes += reader.torn_bytes();
        segment.sequence_last = sequence_last_;
        number_next_ = number + 1;
        if (segment.empty()) {
            ::unlink(segment.name.c_str());
            continue;
        }
        closed_bytes_ += segment.bytes;
        left_over_reader_.segments.push_back(segment);
        closed_.push_back(std::move(segment));
    }
    left_over_ = sequence_last_;
}

Spool::Taken Spool::take(Reading& from, std::size_t max, std::size_t bytes) {
    Taken out;
    std::size_t taken_bytes = 0;
    while (!from.segments.empty() && out.messages.size() < max && taken_bytes < bytes) {
        const std::uint64_t last = from.segments.front().sequence_last;
        if (!from.reader) from.reader.emplace(from.segments.front().name);
        if (auto record = from.taken < last ? from.reader->next() : std::nullopt) {
            ++from.taken;
            taken_bytes += record_bytes(record->message);
            out.messages.push_back(std::move(record->message));
        } else {  // of a file that has shrunk, or where some could not be written, the rest is not there
            from.taken = last;
            from.segments.pop_front();
            from.reader.reset();
        }
    }
    out.sequence_last = from.taken;
    out.more = !from.segments.empty() && from.taken < from.segments.back().sequence_last;
    return out;
}

void Spool::rewind(std::uint64_t until) {
    const std::lock_guard guard{mutex_};
    if (!active_.empty()) close_segment();  // what is read does not grow meanwhile
    again_ = {closed_, std::nullopt, closed_.empty() ? 0 : closed_.front().sequence_first - 1};
    auto& segments = again_.segments;
    while (!segments.empty() && segments.back().sequence_first > until) segments.pop_back();
    if (!segments.empty()) segments.back().sequence_last = std::min(segments.back().sequence_last, until);
}

// ---- what comes in, and what may go

void Spool::open_segment() {
    active_ = {path_ + '.' + std::to_string(number_next_++), sequence_last_ + 1, sequence_last_, 0};
    file_ = File{::open(active_.name.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_TRUNC | O_CLOEXEC, 0640)};
}

void Spool::close_segment() {
    closed_bytes_ += active_.bytes;
    closed_.push_back(active_);
    open_segment();
}

std::optional<std::string> Spool::append(std::uint64_t sequence, const sensors::Message& message,
                                         bool may_come_again) {
    const std::lock_guard guard{mutex_};
    if (auto problem = make_room(record_bytes(message))) {
        sequence_last_ = sequence;
        return problem;
    }
    sequence_last_ = sequence;
    if (auto problem = write(message, may_come_again)) return problem;
    if (active_.empty()) active_.sequence_first = sequence;
    active_.sequence_last = sequence;
    return std::nullopt;
}

/// An active segment with room for so many bytes, or why there is none.
std::optional<std::string> Spool::make_room(std::uint64_t length) {
    if (closed_bytes_ + active_.bytes + length > limits_.bytes)
        return fmt::format("the spool {} is full ({} MiB)", path_, limits_.bytes / (1024 * 1024));
    if (active_.bytes > 0 && active_.bytes + length > limits_.segment_bytes) close_segment();
    if (file_.descriptor() < 0) open_segment();  // it could not be opened: perhaps it can now
    if (file_.descriptor() < 0) return "cannot open " + active_.name + ": " + reason();
    return std::nullopt;
}

std::optional<std::string> Spool::write(const sensors::Message& message, bool may_come_again) {
    RecordHead head = head_of(message, may_come_again);
    const std::array<iovec, 3> parts{
        iovec{&head, sizeof head}, iovec{const_cast<char*>(message.topic.data()), message.topic.size()},
        iovec{const_cast<char*>(message.payload.data()), message.payload.size()}};
    const auto length = static_cast<ssize_t>(record_bytes(message));
    ssize_t written = 0;
    do written = ::writev(file_.descriptor(), parts.data(), static_cast<int>(parts.size()));
    while (written < 0 && errno == EINTR);
    if (written == length) {
        active_.bytes += static_cast<std::uint64_t>(length);
        return std::nullopt;
    }
    const std::string why = written < 0 ? reason() : "no room for a whole record";
    const std::string name = active_.name;
    // Half a record would hide all that follow it.
    if (written > 0 && ::ftruncate(file_.descriptor(), static_cast<off_t>(active_.bytes)) != 0)
        close_segment();
    return "cannot write " + name + ": " + why;
}

void Spool::release(std::uint64_t sequence) {
    const std::lock_guard guard{mutex_};
    while (!closed_.empty() && closed_.front().sequence_last <= sequence) {
        ::unlink(closed_.front().name.c_str());
        closed_bytes_ -= closed_.front().bytes;
        closed_.pop_front();
    }
    if (active_.empty()) return;
    if (active_.sequence_last <= sequence && ::ftruncate(file_.descriptor(), 0) == 0) {
        active_.bytes = 0;
        active_.sequence_first = active_.sequence_last + 1;
    } else if (active_.sequence_first <=
               sequence) {  // released in part: close it, so that it can go next time
        close_segment();
    }
}

}  // namespace gyled::mqtt
