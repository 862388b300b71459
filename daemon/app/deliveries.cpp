#include "daemon/app/deliveries.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <boost/asio/post.hpp>
#include <utility>

#include "daemon/config/core_spec.hpp"
#include "daemon/display/display.hpp"
#include "daemon/notify/fallback.hpp"
#include "daemon/notify/reachability.hpp"

namespace gyled::app {
namespace {

using namespace std::chrono_literals;
using notify::DeliveryReport;

/// The courier keeps the order among what it knows, so it is told of everything that is pending, due or not.
constexpr auto all_that_pends = std::chrono::hours{24 * 365 * 100};
constexpr std::size_t offered_at_once = 10'000;

/// Of a notice that never was in the store.
constexpr std::int64_t no_id = -1;

/// The first attempt in vain is news, then each tenth.
bool is_logged(unsigned attempts) {
    constexpr unsigned logged_every = 10;
    return attempts == 1 || attempts % logged_every == 0;
}

void log(const DeliveryReport& report) {
    switch (report.kind) {
        case DeliveryReport::Kind::delivered:
            spdlog::info("delivered to {} (attempt {})", report.messenger, report.attempts);
            break;
        case DeliveryReport::Kind::deferred:
            if (is_logged(report.attempts))
                spdlog::warn("{} not reached (attempt {}): {}; retrying in {}", report.messenger,
                             report.attempts, report.words,
                             display::duration_text(report.next_try - report.at));
            break;
        case DeliveryReport::Kind::expired:
            spdlog::error("notice to {} expired after {} attempts: {}", report.messenger, report.attempts,
                          report.words);
            break;
    }
}

}  // namespace

struct Deliveries::State {
    State(boost::asio::io_context& l, storage::Outbox& s, const config::Config& config,
          std::function<base::Timestamp()> time, BrokerWay way)
        : loop{l},
          outbox{s},
          recipients{config::core_spec(config).recipients},
          clock{std::move(time)},
          is_connected{std::move(way.is_connected)},
          fallback{recipients},
          courier{messengers(config, l, way.publish, connected), [this](const DeliveryReport& report) {
                      boost::asio::post(loop, [this, report] { note(report); });
                  }} {}

    void note(const DeliveryReport& report) {
        log(report);
        fallback.note(report);
        if (is_configured(report.messenger)) reachability.note(report, steady_now());
        if (report.kind == DeliveryReport::Kind::delivered) ++delivered;
        if (report.kind == DeliveryReport::Kind::expired) ++expired;
        if (report.id != no_id) write_down(report);
    }

    void write_down(const DeliveryReport& report) try {
        switch (report.kind) {
            case DeliveryReport::Kind::delivered:
                return outbox.delivered(report.id, report.at);
            case DeliveryReport::Kind::deferred:
                return outbox.deferred(report.id, report.next_try, report.attempts, report.words);
            case DeliveryReport::Kind::expired:
                return outbox.expired(report.id, report.at, report.words);
        }
    } catch (const storage::StorageError& error) {
        spdlog::error("{}", error.what());
    }

    void offer(notify::QueuedNotice queued) {
        const bool configured = is_configured(queued.messenger);
        if (courier.offer(queued) || !configured) fallback.offered(queued);
    }

    /// To its recipients, past the outbox.
    void offer_unstored(const annunciation::Notice& notice) {
        for (const std::string& recipient : notice.recipients)
            offer(
                {.id = no_id, .messenger = recipient, .notice = notice, .attempts = 0, .next_try = clock()});
    }

    void fall_back() {
        for (const annunciation::Notice& notice : fallback.due(failing())) {
            spdlog::warn("'{}' goes to {} as well", notice.title, notice.recipients.front());
            try {
                outbox.add(notice);
            } catch (const storage::StorageError& error) {
                spdlog::error("{}", error.what());
                offer_unstored(notice);
            }
        }
    }

    [[nodiscard]] std::vector<notify::Failing> failing() const { return reachability.failing(steady_now()); }
    [[nodiscard]] bool is_configured(const std::string& messenger) const {
        return std::any_of(recipients.begin(), recipients.end(),
                           [&](const annunciation::Recipient& one) { return one.name == messenger; });
    }
    [[nodiscard]] static notify::SteadyTime steady_now() { return notify::system_moment().steady; }

    boost::asio::io_context& loop;
    storage::Outbox& outbox;
    std::string trouble;  ///< of the outbox, as last logged
    const std::vector<annunciation::Recipient> recipients;
    std::optional<std::uint64_t> offered_to;  ///< the outbox as it was when all of it was offered
    std::function<base::Timestamp()> clock;
    std::function<bool()> is_connected;
    const BrokerConnected connected = std::make_shared<std::atomic<bool>>(false);
    std::uint64_t delivered = 0, expired = 0;
    notify::Reachability reachability;
    notify::Fallback fallback;
    notify::Courier courier;  ///< last: its threads end before the rest goes
};

Deliveries::Deliveries(boost::asio::io_context& loop, storage::Outbox& outbox, const config::Config& config,
                       std::function<base::Timestamp()> clock, BrokerWay broker)
    : state_{std::make_unique<State>(loop, outbox, config, std::move(clock), std::move(broker))} {}
Deliveries::~Deliveries() = default;

void Deliveries::round() {
    *state_->connected = state_->is_connected();
    state_->fall_back();
    offer_due();
}

void Deliveries::offer_due() {
    const std::uint64_t entered = state_->outbox.entered();
    if (state_->offered_to == entered) return;
    try {
        auto entries = state_->outbox.due(state_->clock() + all_that_pends, offered_at_once);
        // more than these: the rest is offered once some of these are gone
        if (entries.size() < offered_at_once) state_->offered_to = entered;
        for (storage::OutboxEntry& entry : entries)
            state_->offer({entry.id, std::move(entry.messenger), std::move(entry.notice), entry.attempts,
                           entry.next_try});
        state_->trouble.clear();
    } catch (const storage::StorageError& error) {  // once a second while there is no store
        if (std::exchange(state_->trouble, error.what()) != error.what()) spdlog::error("{}", error.what());
    }
}

void Deliveries::offer_at_once(const annunciation::Notice& notice) {
    state_->offer_unstored(notice);
}

base::Impairments Deliveries::impairments() const {
    base::Impairments out;
    for (const notify::Failing& one : state_->failing())
        out.push_back({.name = "delivery_failing",
                       .subject = one.messenger,
                       .text = one.messenger + " is not reached: " + one.words,
                       .since = one.since});
    return out;
}

void Deliveries::stop() {
    state_->courier.stop(2s);
}
std::uint64_t Deliveries::delivered() const {
    return state_->delivered;
}
std::uint64_t Deliveries::expired() const {
    return state_->expired;
}

}  // namespace gyled::app
