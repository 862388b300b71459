#include "daemon/mqtt/spool_record.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <boost/crc.hpp>
#include <cerrno>
#include <cstring>
#include <utility>

namespace gyled::mqtt {
namespace {

constexpr std::size_t head_before_body = 8;
constexpr std::size_t body_length_min = sizeof(RecordHead) - head_before_body;
constexpr std::size_t read_at_once_bytes = 64 * 1024;

std::uint32_t crc_of(const RecordHead& head, std::string_view topic, std::string_view payload) {
    boost::crc_32_type crc;
    crc.process_bytes(reinterpret_cast<const char*>(&head) + head_before_body, body_length_min);
    crc.process_bytes(topic.data(), topic.size());
    crc.process_bytes(payload.data(), payload.size());
    return crc.checksum();
}

}  // namespace

RecordHead head_of(const sensors::Message& message, bool may_come_again) {
    RecordHead head{};
    head.body_length =
        static_cast<std::uint32_t>(body_length_min + message.topic.size() + message.payload.size());
    head.arrived_ms = message.arrived.time_since_epoch().count();
    head.flags =
        static_cast<std::uint8_t>((message.retained ? flag_retained : 0) |
                                  (message.stamp == sensors::Stamp::right ? 0 : flag_clock_was_unset) |
                                  (may_come_again ? 0 : flag_comes_once));
    head.topic_length = static_cast<std::uint32_t>(message.topic.size());
    head.body_crc = crc_of(head, message.topic, message.payload);
    return head;
}

std::size_t record_bytes(const sensors::Message& message) {
    return sizeof(RecordHead) + message.topic.size() + message.payload.size();
}

std::optional<Record> take_record(std::string_view& bytes) {
    RecordHead head{};
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
    const auto is_set = [&](std::uint8_t flag) { return (head.flags & flag) != 0; };
    return Record{
        {std::string{topic}, std::string{payload}, base::Timestamp{base::Duration{head.arrived_ms}},
         is_set(flag_retained), is_set(flag_clock_was_unset) ? sensors::Stamp::lost : sensors::Stamp::right},
        !is_set(flag_comes_once)};
}

SegmentReader::SegmentReader(const std::string& name) : file_{::open(name.c_str(), O_RDONLY | O_CLOEXEC)} {}

std::optional<Record> SegmentReader::next() {
    while (!ended_) {
        const std::string_view unread = std::string_view{buffer_}.substr(begin_);
        std::string_view rest = unread;
        if (auto record = take_record(rest)) {
            begin_ += unread.size() - rest.size();
            return record;
        }
        // Broken, or not all of it is here yet; what is longer than any record is broken.
        if (unread.size() >= longest_record_bytes || !fill()) count_the_rest();
    }
    return std::nullopt;
}

/// Reads on behind what is there. False at the end of the file.
bool SegmentReader::fill() {
    buffer_.erase(0, std::exchange(begin_, 0));
    const std::size_t had = buffer_.size();
    buffer_.resize(had + read_at_once_bytes);
    ssize_t got = 0;
    do got = ::read(file_.descriptor(), buffer_.data() + had, read_at_once_bytes);
    while (got < 0 && errno == EINTR);
    buffer_.resize(had + static_cast<std::size_t>(got > 0 ? got : 0));
    return got > 0;
}

void SegmentReader::count_the_rest() {
    ended_ = true;
    do {
        torn_bytes_ += buffer_.size() - begin_;
        begin_ = buffer_.size();
    } while (fill());
}

}  // namespace gyled::mqtt
