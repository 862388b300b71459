#pragma once
/// What the broker sends once more because our acknowledgement did not reach it, but which we have: a message
/// without a time of its own would else be stored twice.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/mqtt/spool.hpp"

namespace gyled::mqtt {

/// MQTT 5.0 (OASIS Standard), section 4.4: upon reconnecting, the broker sends again what we have not
/// acknowledged, marked (DUP) and in the order in which it sent it at first. What we have of that is
/// therefore how it begins, and how our own record ends. (The packet identifier would say it at once; Paho's
/// C++ part keeps it to itself.) Two equal texts on one topic without a time of their own, both under way
/// when we died, may be taken for one.
///
/// The record is a file of fixed length, written like the spool: it outlives the process, not the machine.
/// Without a file it knows only what came since the start. Thread: whoever puts messages in, one at a time.
/// Never throws.
class Resent {
public:
    /// What a broker may have under way at a time: a packet identifier has two bytes and is not zero
    /// (MQTT 5.0, section 2.2.1). Some send all they have when we come back. 1.5 MiB.
    static constexpr std::size_t remembered = 65'535;
    /// So many places where a text may stand are followed, the newest: a sensor that says the same all the
    /// time must neither cost us seconds nor have more taken for known.
    static constexpr std::size_t followed = 2'000;

    /// Takes up what an earlier run left at `path`; empty: no file.
    explicit Resent(const std::string& path);

    /// What is marked from here on is compared with what we have now.
    void connected();
    /// This one, of QoS 1, is ours now. Call it once it stands in the spool.
    void note(const sensors::Message& message);
    /// The newest of QoS 1 that stands in the spool of an earlier run, which may have died before it noted
    /// that.
    void note_newest_spooled(const sensors::Message& message);
    /// Is this marked one, the next in order, among what we have?
    [[nodiscard]] bool is_known(const sensors::Message& message);
    /// The latest arrival that was given out, by an earlier run too.
    [[nodiscard]] std::optional<base::Timestamp> latest_arrival() const;

private:
    /// As it stands in the file, as this machine writes numbers.
    struct Mark {
        std::uint64_t number = 0;   ///< of the message since the file was made; 0: none
        std::uint64_t content = 0;  ///< CRC-32 of topic and payload
        std::int64_t arrived_ms = 0;
    };
    [[nodiscard]] static std::uint64_t content_of(const sensors::Message& message);
    [[nodiscard]] bool holds(std::uint64_t number, std::uint64_t content) const;
    void load();

    std::vector<Mark> marks_ = std::vector<Mark>(remembered);
    std::uint64_t number_ = 0;                ///< of the newest
    std::uint64_t number_at_connection_ = 0;  ///< of the newest when we connected
    bool first_ = true;                       ///< no marked one has come since
    std::vector<std::uint64_t> matches_;      ///< where in the record the last marked one may stand
    File file_;
};

}  // namespace gyled::mqtt
