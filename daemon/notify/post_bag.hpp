#pragma once
/// The order of delivery to one messenger: what goes next, and when. No thread, no clock: time is an
/// argument.

#include <cstdint>
#include <map>
#include <optional>
#include <random>
#include <string>

#include "daemon/notify/back_off.hpp"
#include "daemon/notify/messenger.hpp"

namespace gyled::notify {

/// One notice on its way through one messenger, as the outbox keeps it.
struct Parcel {
    std::int64_t id = 0;  ///< the outbox's; grows with time
    std::string messenger;
    annunciation::Notice notice;
    unsigned attempts = 0;  ///< how often it has been tried
    Timestamp next_try{};
};

/// What became of a parcel: for the outbox to write down.
struct DeliveryReport {
    enum class Kind : std::uint8_t { delivered, retry, gave_up };
    Kind kind{};
    std::int64_t id = 0;
    std::string messenger;
    unsigned attempts = 0;
    Timestamp at;        ///< when this was known
    Timestamp next_try;  ///< for retry
    std::string words;   ///< the receiver's or the network's own
};

/// Within one thread (one alarm) parcels go strictly in the order of their ids: "returned" never overtakes
/// "raised". Between threads the most urgent goes first, then the oldest. New news in a thread, and each
/// success (the receiver is back), end the waiting of others; only a receiver's own wish to be left alone is
/// kept.
class PostBag {
public:
    explicit PostBag(BackOff policy = {}, std::uint64_t seed = 1) : policy_{policy}, chance_{seed} {}

    /// Takes it in; false when this parcel is in here already, or was settled: its report may still be on its
    /// way to the outbox. (A number of the outbox that comes again with another notice is another parcel.)
    bool offer(Parcel parcel);
    /// What to send now; it is under way until `settle`. One at a time.
    [[nodiscard]] std::optional<Parcel> take(Timestamp now);
    /// What the messenger answered for the parcel under way.
    DeliveryReport settle(const Delivery& delivery, Timestamp now);
    /// When `take` will have something; nothing when it waits for an offer or for `settle`.
    [[nodiscard]] std::optional<Timestamp> next_due() const;
    [[nodiscard]] std::size_t size() const { return parcels_.size(); }

private:
    struct Head {
        const Parcel* parcel;
        alarms::Priority urgency;  ///< of the most urgent in its thread
    };
    [[nodiscard]] std::map<std::string_view, Head> heads() const;
    void let_go(std::map<std::int64_t, Parcel>::iterator parcel);

    BackOff policy_;
    std::mt19937_64 chance_;
    std::map<std::int64_t, Parcel> parcels_;
    std::map<std::int64_t, std::string> settled_;  ///< notice ids of the latest that left
    std::optional<std::int64_t> under_way_;
    Timestamp resting_until_{};
};

}  // namespace gyled::notify
