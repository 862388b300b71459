#pragma once
/// A push relay that takes one JSON object at its root, as ntfy-style relays do, and answers with the
/// message as a JSON object that has an "id". Nothing else is an acceptance.

#include <atomic>
#include <string>

#include "daemon/notify/messenger.hpp"

namespace gyled::notify {

struct PushSettings {
    std::string url;        ///< the relay's root, e.g. "https://relay.example/"
    std::string topic;      ///< 1 to 64 of A-Z a-z 0-9 _ -
    std::string token;      ///< bearer token; empty: none
    std::string click_url;  ///< where a tap leads; empty: nowhere
    Duration timeout = std::chrono::seconds{15};
};

class PushMessenger final : public Messenger {
public:
    explicit PushMessenger(PushSettings settings);
    [[nodiscard]] Delivery send(const annunciation::Notice& notice) override;
    void hang_up() override { hung_up_ = true; }

private:
    PushSettings settings_;
    std::atomic<bool> hung_up_ = false;
};

/// The relay's priority: critical 5, high 4, medium 3, low 2. "Over" and drills of it come softly: 2.
[[nodiscard]] int push_priority(const annunciation::Notice& notice);

/// What replaces what on the phone, in the relay's alphabet (1 to 64 of A-Z a-z 0-9 _ -). A repeated delivery
/// takes the place of its own message, "returned" that of the alarm's first one; each worse step of the same
/// alarm gets a place of its own, since a replaced message may come without a sound.
[[nodiscard]] std::string push_sequence(const annunciation::Notice& notice);

}  // namespace gyled::notify
