#include "daemon/mqtt/spool.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/uio.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/crc.hpp>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <system_error>
#include <utility>

namespace gyled::mqtt {
namespace {

namespace fs = std::filesystem;

struct [[gnu::packed]] Head {
    std::uint32_t body_length;
    std::uint32_t body_crc;
    std::int64_t arrived_ms;  // the body begins here
    std::uint8_t retained;
    std::uint32_t topic_length;
};
constexpr std::size_t head_before_body = 8;
constexpr std::size_t body_length_min = sizeof(Head) - head_before_body;

std::string reason() {
    return std::system_category().message(errno);
}

std::uint32_t crc_of(const Head& head, std::string_view topic, std::string_view payload) {
    boost::crc_32_type crc;
    crc.process_bytes(reinterpret_cast<const char*>(&head) + head_before_body, body_length_min);
    crc.process_bytes(topic.data(), topic.size());
    crc.process_bytes(payload.data(), payload.size());
    return crc.checksum();
}

/// The record at the front of `bytes`, which then begins behind it; nothing when it is not whole.
std::optional<sensors::Message> take_record(std::string_view& bytes) {
    Head head{};
    if (bytes.size() < sizeof head) return std::nullopt;
    std::memcpy(&head, bytes.data(), sizeof head);
    const std::size_t length = head.body_length;
    if (length < body_length_min || length > bytes.size() - head_before_body) return std::nullopt;
    std::string_view rest = bytes.substr(sizeof head, length - body_length_min);
    if (head.topic_length > rest.size()) return std::nullopt;
    const std::string_view topic = rest.substr(0, head.topic_length),
                           payload = rest.substr(head.topic_length);
    if (crc_of(head, topic, payload) != head.body_crc) return std::nullopt;
    bytes.remove_prefix(head_before_body + length);
    return sensors::Message{std::string{topic}, std::string{payload},
                            base::Timestamp{base::Duration{head.arrived_ms}}, head.retained != 0};
}

std::string content_of(const std::string& name) {
    std::ifstream file{name, std::ios::binary};
    return {std::istreambuf_iterator<char>{file}, {}};
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

File::~File() {
    if (descriptor_ >= 0) ::close(descriptor_);
}
File::File(File&& other) noexcept : descriptor_{std::exchange(other.descriptor_, -1)} {}
File& File::operator=(File&& other) noexcept {
    std::swap(descriptor_, other.descriptor_);
    return *this;
}

Spool::Spool(std::string path) : path_{fs::absolute(path).string()} {
    const std::string lock_name = path_ + ".lock";
    lock_ = File{::open(lock_name.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0640)};
    if (lock_.descriptor() < 0)
        throw std::runtime_error("cannot open the spool " + lock_name + ": " + reason());
    if (::flock(lock_.descriptor(), LOCK_EX | LOCK_NB) != 0)
        throw std::runtime_error("the spool " + path_ + " is in use by another process");
    read_left_over();
    open_segment();
    if (file_.descriptor() < 0)
        throw std::runtime_error("cannot write the spool " + active_.name + ": " + reason());
}

Spool::~Spool() {
    if (active_.empty() && file_.descriptor() >= 0) ::unlink(active_.name.c_str());
}

void Spool::read_left_over() {
    for (const std::uint64_t number : segment_numbers(path_)) {
        Segment segment{path_ + '.' + std::to_string(number), sequence_last_ + 1, 0};
        const std::string content = content_of(segment.name);
        std::string_view bytes = content;
        while (auto message = take_record(bytes)) {
            left_over_.push_back(std::move(*message));
            ++sequence_last_;
        }
        torn_bytes_ += bytes.size();
        segment.sequence_last = sequence_last_;
        if (segment.empty())
            ::unlink(segment.name.c_str());
        else
            closed_.push_back(std::move(segment));
        number_next_ = number + 1;
    }
}

void Spool::open_segment() {
    active_ = {path_ + '.' + std::to_string(number_next_++), sequence_last_ + 1, sequence_last_};
    file_ = File{::open(active_.name.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_TRUNC | O_CLOEXEC, 0640)};
    size_ = 0;
}

std::optional<std::string> Spool::append(std::uint64_t sequence, const sensors::Message& message) {
    Head head{};
    head.body_length =
        static_cast<std::uint32_t>(body_length_min + message.topic.size() + message.payload.size());
    head.arrived_ms = message.arrived.time_since_epoch().count();
    head.retained = message.retained ? 1 : 0;
    head.topic_length = static_cast<std::uint32_t>(message.topic.size());
    head.body_crc = crc_of(head, message.topic, message.payload);
    const std::array<iovec, 3> parts{
        iovec{&head, sizeof head}, iovec{const_cast<char*>(message.topic.data()), message.topic.size()},
        iovec{const_cast<char*>(message.payload.data()), message.payload.size()}};
    const auto length = static_cast<std::int64_t>(head_before_body + head.body_length);

    const std::lock_guard guard{mutex_};
    sequence_last_ = sequence;
    if (file_.descriptor() < 0) {  // a new segment could not be opened: perhaps it can now
        open_segment();
        if (file_.descriptor() < 0) return "cannot open " + active_.name + ": " + reason();
    }
    std::int64_t written = 0;
    do written = ::writev(file_.descriptor(), parts.data(), static_cast<int>(parts.size()));
    while (written < 0 && errno == EINTR);
    if (written == length) {
        size_ += length;
        if (active_.empty()) active_.sequence_first = sequence;
        active_.sequence_last = sequence;
        return std::nullopt;
    }
    const std::string why = written < 0 ? reason() : "no room for a whole record";
    // Half a record would hide all that follow it.
    if (written > 0 && ::ftruncate(file_.descriptor(), size_) != 0) {
        closed_.push_back(active_);
        open_segment();
    }
    return "cannot write " + active_.name + ": " + why;
}

void Spool::release(std::uint64_t sequence) {
    const std::lock_guard guard{mutex_};
    while (!closed_.empty() && closed_.front().sequence_last <= sequence) {
        ::unlink(closed_.front().name.c_str());
        closed_.pop_front();
    }
    if (active_.empty()) return;
    if (active_.sequence_last <= sequence && ::ftruncate(file_.descriptor(), 0) == 0) {
        size_ = 0;
        active_.sequence_first = active_.sequence_last + 1;
    } else if (active_.sequence_first <=
               sequence) {  // released in part: close it, so that it can go next time
        closed_.push_back(active_);
        open_segment();
    }
}

}  // namespace gyled::mqtt
