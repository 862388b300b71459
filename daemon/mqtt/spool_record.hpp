#pragma once
/// One message as it stands in a segment of the spool, and a reader that takes them out one by one, so that
/// recovery needs no more memory than the longest of them.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/mqtt/file.hpp"
#include "sensors/reading.hpp"

namespace gyled::mqtt {

/// A record is: length and CRC-32 of its body (4 bytes each), then the body: arrival in Unix ms (8), flags
/// (1), length of the topic (4), topic, payload; numbers as this machine writes them, for the file never
/// leaves it.
struct [[gnu::packed]] RecordHead {
    std::uint32_t body_length;
    std::uint32_t body_crc;
    std::int64_t arrived_ms;  // the body begins here
    std::uint8_t flags;
    std::uint32_t topic_length;
};

/// The longest record that is believed; a longer one is damage. Ours stay below 130 KiB (a payload of 64 KiB
/// and a topic of 64 KiB); earlier versions took payloads of 1 MiB.
inline constexpr std::size_t longest_record_bytes = 2 * 1024 * 1024;

/// Bits of the flags. Earlier versions knew the first two only.
inline constexpr std::uint8_t flag_retained = 1, flag_clock_was_unset = 2, flag_comes_once = 4;

struct Record {
    sensors::Message message;
    /// The broker sends it again until it has our acknowledgement (QoS 1).
    bool may_come_again = true;
};

[[nodiscard]] RecordHead head_of(const sensors::Message& message, bool may_come_again);
/// Of head, topic and payload together.
[[nodiscard]] std::size_t record_bytes(const sensors::Message& message);
/// The record at the front of `bytes`, which then begins behind it; nothing, and `bytes` unchanged, when it
/// is not whole.
[[nodiscard]] std::optional<Record> take_record(std::string_view& bytes);

/// Reads one segment from front to end, up to its first broken record. A file that cannot be read holds
/// nothing. Thread: one.
class SegmentReader {
public:
    explicit SegmentReader(const std::string& name);

    [[nodiscard]] std::optional<Record> next();
    /// Bytes behind the last whole record; known once `next` has given nothing.
    [[nodiscard]] std::uint64_t torn_bytes() const { return torn_bytes_; }

private:
    [[nodiscard]] bool fill();
    void count_the_rest();

    File file_;
    std::string buffer_;
    std::size_t begin_ = 0;  ///< of what `buffer_` holds unread
    std::uint64_t torn_bytes_ = 0;
    bool ended_ = false;
};

}  // namespace gyled::mqtt
