#pragma once
/// Messages on their way to the database, kept in files so that the death of this process loses none of them.

#include <cstdint>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "sensors/reading.hpp"

namespace gyled::mqtt {

/// An open file that closes itself.
class File {
public:
    explicit File(int descriptor = -1) : descriptor_{descriptor} {}
    ~File();
    File(File&& other) noexcept;
    File& operator=(File&& other) noexcept;
    [[nodiscard]] int descriptor() const { return descriptor_; }

private:
    int descriptor_;
};

/// A record is: length and CRC-32 of its body (4 bytes each), then the body: arrival in Unix ms (8), retained
/// (1), length of the topic (4), topic, payload; numbers as this machine writes them, for the file never
/// leaves it. Records go to the active segment, a file named <path>.<number>; a segment is deleted when all
/// its messages are released. Thread: any; each call holds the spool's own lock.
class Spool {
public:
    /// Opens a new segment and reads what earlier runs left. Throws std::runtime_error when the folder cannot
    /// be written or another process holds the spool. A segment is read up to its first broken record.
    explicit Spool(std::string path);
    ~Spool();

    /// What earlier runs left, oldest first. They carry the sequence numbers 1, 2, 3 ... Call it once.
    [[nodiscard]] std::vector<sensors::Message> take_left_over() { return std::move(left_over_); }
    [[nodiscard]] std::uint64_t torn_bytes() const { return torn_bytes_; }

    /// Writes one message, or says why it could not; then nothing of it stays behind. `sequence` grows by
    /// one.
    [[nodiscard]] std::optional<std::string> append(std::uint64_t sequence, const sensors::Message& message);
    /// All messages up to `sequence` are safe elsewhere.
    void release(std::uint64_t sequence);

private:
    struct Segment {
        std::string name;
        std::uint64_t sequence_first = 0, sequence_last = 0;  ///< first above last: empty
        [[nodiscard]] bool empty() const { return sequence_first > sequence_last; }
    };
    void read_left_over();
    void open_segment();

    std::mutex mutex_;
    std::string path_;
    File lock_;                   ///< held for as long as we live, so that two daemons never share a spool
    std::deque<Segment> closed_;  ///< oldest first
    Segment active_;
    File file_;  ///< of the active segment
    std::uint64_t number_next_ = 1;
    std::int64_t size_ = 0;  ///< bytes in the active segment
    std::uint64_t sequence_last_ = 0;
    std::uint64_t torn_bytes_ = 0;
    std::vector<sensors::Message> left_over_;
};

}  // namespace gyled::mqtt
