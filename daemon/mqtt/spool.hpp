#pragma once
/// Messages on their way to the database, kept in files so that the death of this process loses none of them.

#include <cstdint>
#include <deque>
#include <mutex>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "daemon/mqtt/spool_record.hpp"

namespace gyled::mqtt {

/// How much of the disk, and of the memory, it may take.
struct SpoolLimits {
    /// Of all segments. When full, messages still flow and are not kept: what is there already is older, and
    /// the newest stand in the memory of who drains us.
    std::uint64_t bytes = 64ULL * 1024 * 1024;
    /// Of one segment, the unit in which space is given back.
    std::uint64_t segment_bytes = 4ULL * 1024 * 1024;
};

/// Another process holds the spool: two daemons must never share one.
struct SpoolInUse : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// Records (spool_record.hpp) go to the active segment, a file named <path>.<number>; a segment is deleted
/// when all its messages are released. Thread: any; each call holds the spool's own lock.
class Spool {
public:
    /// Opens a new segment and counts what earlier runs left, without keeping it in memory. Throws SpoolInUse
    /// when another process holds the spool, std::runtime_error when the folder cannot be written. A segment
    /// counts up to its first broken record.
    explicit Spool(std::string path, SpoolLimits limits = {});
    ~Spool();

    /// How many messages earlier runs left. They carry the sequence numbers 1, 2, 3 ... up to this.
    [[nodiscard]] std::uint64_t left_over() const { return left_over_; }
    /// The newest of them.
    [[nodiscard]] const std::optional<Record>& newest_left_over() const { return newest_left_over_; }
    [[nodiscard]] std::uint64_t torn_bytes() const { return torn_bytes_; }

    /// Some of what earlier runs left.
    struct Taken {
        std::vector<sensors::Message> messages;
        std::uint64_t sequence_last = 0;  ///< so far everything up to this was taken
        bool more = false;
    };
    /// The next of them, oldest first, read from the files: at most `max`, and no further one once they have
    /// `bytes` together.
    [[nodiscard]] Taken take_left_over(std::size_t max, std::size_t bytes) {
        return take(left_over_reader_, max, bytes);
    }
    /// What stands here now up to `until`, whoever wrote it, can be taken from its beginning with
    /// `take_again`, as above.
    void rewind(std::uint64_t until);
    [[nodiscard]] Taken take_again(std::size_t max, std::size_t bytes) { return take(again_, max, bytes); }

    /// Writes one message, or says why it could not; then nothing of it stays behind. `sequence` grows by
    /// one. `may_come_again`: see `Record`.
    [[nodiscard]] std::optional<std::string> append(std::uint64_t sequence, const sensors::Message& message,
                                                    bool may_come_again = true);
    /// All messages up to `sequence` are safe elsewhere.
    void release(std::uint64_t sequence);

private:
    struct Segment {
        std::string name;
        std::uint64_t sequence_first = 0, sequence_last = 0;  ///< first above last: empty
        std::uint64_t bytes = 0;
        [[nodiscard]] bool empty() const { return sequence_first > sequence_last; }
    };
    /// Segments that are read from front to end, and how far that has come.
    struct Reading {
        std::deque<Segment> segments;  ///< oldest first
        std::optional<SegmentReader> reader;
        std::uint64_t taken = 0;  ///< up to this sequence
    };
    [[nodiscard]] static Taken take(Reading& from, std::size_t max, std::size_t bytes);
    void count_left_over();
    void open_segment();
    void close_segment();
    [[nodiscard]] std::optional<std::string> make_room(std::uint64_t length);
    [[nodiscard]] std::optional<std::string> write(const sensors::Message& message, bool may_come_again);

    std::mutex mutex_;
    std::string path_;
    SpoolLimits limits_;
    File lock_;                   ///< held for as long as we live, so that two daemons never share a spool
    std::deque<Segment> closed_;  ///< oldest first
    Segment active_;
    File file_;  ///< of the active segment
    std::uint64_t number_next_ = 1;
    std::uint64_t closed_bytes_ = 0;
    std::uint64_t sequence_last_ = 0;
    std::uint64_t torn_bytes_ = 0;

    // Only who takes touches these.
    std::uint64_t left_over_ = 0;
    std::optional<Record> newest_left_over_;
    Reading left_over_reader_, again_;
};

}  // namespace gyled::mqtt
