#include "daemon/app/deliveries.hpp"

#include <spdlog/spdlog.h>

#include <boost/asio/post.hpp>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "daemon/app/translate.hpp"
#include "daemon/display/display.hpp"
#include "daemon/notify/courier.hpp"
#include "daemon/notify/push.hpp"
#include "daemon/notify/webhook.hpp"

namespace gyled::app {
namespace {

using namespace std::chrono_literals;

/// The courier keeps the order among what it knows, so it is told of everything that is pending, due or not.
constexpr auto all_that_pends = std::chrono::hours{24 * 365};
constexpr std::size_t offered_at_once = 10'000;

using Publish = std::function<void(const std::string& topic, const std::string& text)>;

/// A lamp or a buzzer at the broker: works with no internet. Handing over is all that can be known.
class MqttMessenger final : public notify::Messenger {
public:
    MqttMessenger(boost::asio::io_context& loop, Publish publish, std::string topic)
        : loop_{loop}, publish_{std::move(publish)}, topic_{std::move(topic)} {}

    [[nodiscard]] notify::Delivery send(const annunciation::Notice& notice) override {
        const nlohmann::ordered_json text{{"title", notice.title},
                                          {"text", notice.text},
                                          {"kind", annunciation::name(notice.kind)},
                                          {"priority", alarms::name(notice.priority)},
                                          {"vessel", notice.vessel},
                                          {"rule", notice.rule},
                                          {"id", notice.id},
                                          {"time", base::to_rfc3339(notice.at)}};
        boost::asio::post(loop_,
                          [this, line = text.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace)] {
                              publish_(topic_, line);
                          });
        return {notify::Delivery::Outcome::accepted, std::nullopt, "handed to the broker"};
    }

private:
    boost::asio::io_context& loop_;
    Publish publish_;
    std::string topic_;
};

std::unique_ptr<notify::Messenger> messenger(const config::Messenger& m, boost::asio::io_context& loop,
                                             const Publish& publish) {
    const std::string token = secret_text(m.token, "[[messenger]] " + m.name + " token");
    switch (m.kind) {
        case config::Messenger::Kind::push:
            return std::make_unique<notify::PushMessenger>(
                notify::PushSettings{m.url, m.topic, token, m.click_url, m.timeout});
        case config::Messenger::Kind::webhook:
            return std::make_unique<notify::WebhookMessenger>(notify::WebhookSettings{
                m.url, m.method, m.content_type, m.headers, m.body, token, m.timeout});
        case config::Messenger::Kind::mqtt:
            return std::make_unique<MqttMessenger>(loop, publish, m.topic);
        case config::Messenger::Kind::mail:
            break;  // refused by the configuration
    }
    throw std::runtime_error("[[messenger]] " + m.name + ": this kind is not available");
}

notify::Courier::Messengers messengers(const config::Config& config, boost::asio::io_context& loop,
                                       const Publish& publish) {
    notify::Courier::Messengers all;
    for (const config::Messenger& m : config.messengers) all.emplace(m.name, messenger(m, loop, publish));
    return all;
}

}  // namespace

struct Deliveries::State {
    State(boost::asio::io_context& l, storage::Outbox& s, const config::Config& config,
          std::function<base::Timestamp()> time, const Publish& publish)
        : loop{l},
          outbox{s},
          clock{std::move(time)},
          courier{messengers(config, l, publish), [this](const notify::DeliveryReport& report) {
                      boost::asio::post(loop, [this, report] { write_down(report); });
                  }} {}

    void write_down(const notify::DeliveryReport& report) {
        using Kind = notify::DeliveryReport::Kind;
        if (report.id < 0) {  // never was in the store
            if (report.kind == Kind::delivered) ++delivered;
            if (report.kind == Kind::gave_up) ++failed;
            return;
        }
        try {
            switch (report.kind) {
                case Kind::delivered:
                    outbox.delivered(report.id, report.at);
                    ++delivered;
                    spdlog::info("delivered to {} (attempt {})", report.messenger, report.attempts);
                    break;
                case Kind::retry:
                    outbox.retry(report.id, report.next_try, report.attempts, report.words);
                    if (report.attempts == 1 || report.attempts % 10 == 0)
                        spdlog::warn("{} not reached (attempt {}): {}; retrying in {}", report.messenger,
                                     report.attempts, report.words,
                                     display::duration_text(report.next_try - report.at));
                    break;
                case Kind::gave_up:
                    outbox.gave_up(report.id, report.at, report.words);
                    ++failed;
                    spdlog::error("notice to {} abandoned after {} attempts: {}", report.messenger,
                                  report.attempts, report.words);
                    break;
            }
        } catch (const storage::StorageError& error) {
            spdlog::error("{}", error.what());
        }
    }

    boost::asio::io_context& loop;
    storage::Outbox& outbox;
    std::optional<std::uint64_t> offered_to;  ///< the outbox as it was when all of it was offered
    std::function<base::Timestamp()> clock;
    std::uint64_t delivered = 0, failed = 0;
    std::int64_t unstored = 0;  ///< ids below zero: notices that the store never saw
    notify::Courier courier;    ///< last: its threads end before the rest goes
};

Deliveries::Deliveries(boost::asio::io_context& loop, storage::Outbox& outbox, const config::Config& config,
                       std::function<base::Timestamp()> clock, Publish publish)
    : state_{std::make_unique<State>(loop, outbox, config, std::move(clock), publish)} {}
Deliveries::~Deliveries() = default;

void Deliveries::offer_due() {
    const std::uint64_t entered = state_->outbox.entered();
    if (state_->offered_to == entered) return;
    try {
        auto entries = state_->outbox.due(state_->clock() + all_that_pends, offered_at_once);
        // more than these: the rest is offered once some of these are gone
        if (entries.size() < offered_at_once) state_->offered_to = entered;
        for (storage::OutboxEntry& entry : entries)
            state_->courier.offer({entry.id, std::move(entry.messenger), std::move(entry.notice),
                                   entry.attempts, entry.next_try});
    } catch (const storage::StorageError& error) {
        spdlog::error("{}", error.what());
    }
}

void Deliveries::offer_at_once(const annunciation::Notice& notice) {
    for (const std::string& recipient : notice.recipients)
        state_->courier.offer({--state_->unstored, recipient, notice, 0, state_->clock()});
}

void Deliveries::stop() {
    state_->courier.stop(2s);
}
std::uint64_t Deliveries::delivered() const {
    return state_->delivered;
}
std::uint64_t Deliveries::failed() const {
    return state_->failed;
}

}  // namespace gyled::app
