/// The source over Paho.
///
/// Paho calls us with its one lock held, and all its functions take that lock. So while a message waits for
/// room in the queue, whoever calls Paho waits too; would the main thread, nobody were left to make room.
/// Therefore everything outgoing goes through a sender, a thread of ours, and the main thread calls Paho
/// only to stop, when nobody waits any more. The sender also connects: each failed attempt then tells its
/// reason, which Paho's automatic reconnect keeps to itself.

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>
#include <utility>

#include "daemon/mqtt/broker_source.hpp"
#include "daemon/mqtt/inbox.hpp"
#include "daemon/mqtt/paho_options.hpp"

namespace gyled::mqtt {
namespace {

using SteadyTime = std::chrono::steady_clock::time_point;
SteadyTime steady_now() {
    return std::chrono::steady_clock::now();
}

/// Messages of ours that wait for the sender, and again that wait in Paho; beyond that, newer ones are
/// dropped.
constexpr int publish_backlog_max = 200;

class BrokerSource final : public Source {
public:
    BrokerSource(Settings settings, std::function<Timestamp()> now, std::function<void()> wake);
    ~BrokerSource() override { stop(std::chrono::seconds{1}); }
    BrokerSource(const BrokerSource&) = delete;
    BrokerSource& operator=(const BrokerSource&) = delete;

    void start() override {
        connect_after(std::chrono::seconds{0});
        sender_ = std::jthread{[this](const std::stop_token& stopping) { carry_until(stopping); }};
    }
    MessageGroup drain(std::size_t max) override { return inbox_.drain(max); }
    void release(std::uint64_t batch) override { inbox_.release(batch); }
    std::vector<ConnectionEvent> take_events() override { return inbox_.take_events(); }
    bool publish(std::string_view topic, std::string_view payload, bool retained, int qos) override;
    Figures figures() const override;
    void stop(Duration at_most) override;

private:
    /// Hears how a request to the broker ended; Paho's thread.
    struct Outcome final : paho::iaction_listener {
        using Failure = void (BrokerSource::*)(const paho::token&);
        Outcome(BrokerSource& owner, Failure failure) : owner_{owner}, failure_{failure} {}
        void on_success(const paho::token&) override {}
        void on_failure(const paho::token& token) override { (owner_.*failure_)(token); }

    private:
        BrokerSource& owner_;
        const Failure failure_;
    };

    // Paho's thread
    void on_message(const paho::message& message);
    void on_connected(paho::async_client& client);
    void on_lost(const std::string& why);
    void on_connect_failed(const paho::token& token);
    void on_subscribe_failed(const paho::token& token);

    // the sender
    void carry_until(const std::stop_token& stopping);
    void try_to_connect();
    void hand_over(const paho::const_message_ptr& message);

    void note(ConnectionEvent::Kind kind, std::string text) { inbox_.note({kind, std::move(text), now_()}); }
    void retry_later(const std::string& why);
    void connect_after(std::chrono::seconds wait);

    const Settings settings_;
    const std::function<Timestamp()> now_;
    Inbox inbox_;
    const std::string status_topic_;
    std::atomic<bool> connected_ = false;
    std::atomic<std::uint64_t> connects_ = 0, published_ = 0, publish_dropped_ = 0;
    Outcome connect_outcome_{*this, &BrokerSource::on_connect_failed};
    Outcome subscribe_outcome_{*this, &BrokerSource::on_subscribe_failed};

    std::mutex mutex_;  ///< guards what follows; nobody calls Paho while holding it
    std::condition_variable_any errand_;
    std::deque<paho::const_message_ptr> outbox_;
    std::optional<SteadyTime> connect_at_;
    std::chrono::seconds next_wait_;
    std::string trouble_;  ///< why we are not connected, as last told

    std::unique_ptr<paho::async_client> client_;
    std::jthread sender_;
};

BrokerSource::BrokerSource(Settings settings, std::function<Timestamp()> now, std::function<void()> wake)
    : settings_{checked(std::move(settings))},
      now_{std::move(now)},
      inbox_{settings_, std::move(wake)},
      status_topic_{settings_.publish_prefix + "/status"},
      next_wait_{settings_.reconnect_first},
      client_{std::make_unique<paho::async_client>(paho_url(settings_.url), settings_.client_id,
                                                   paho::create_options_builder{}
                                                       .mqtt_version(MQTTVERSION_5)
                                                       .max_buffered_messages(publish_backlog_max)
                                                       .finalize())} {
    client_->set_message_callback([this](const paho::const_message_ptr& message) { on_message(*message); });
    // While `client_` is being reset it is null already, but a connection may still come about.
    client_->set_connected_handler([this, &client = *client_](const std::string&) { on_connected(client); });
    client_->set_connection_lost_handler([this](const std::string&) { on_lost("connection lost"); });
    client_->set_disconnected_handler([this](const paho::properties&, paho::ReasonCode code) {
        note(ConnectionEvent::Kind::disconnected, "the broker ended it: " + reason_text(code));
    });
}

bool BrokerSource::publish(std::string_view topic, std::string_view payload, bool retained, int qos) {
    if (connected_ && qos >= 0 && qos <= 2 && may_be_published_on(topic)) {
        const std::lock_guard guard{mutex_};
        if (outbox_.size() < publish_backlog_max) {
            outbox_.push_back(paho::make_message(std::string{topic}, std::string{payload}, qos, retained));
            errand_.notify_one();
            return true;
        }
    }
    ++publish_dropped_;
    return false;
}

Figures BrokerSource::figures() const {
    Figures figures = inbox_.figures();
    figures.connected = connected_;
    figures.connects = connects_;
    figures.published = published_;
    figures.publish_dropped = publish_dropped_;
    return figures;
}

void BrokerSource::on_message(const paho::message& message) {
    const Delivery how = message.get_qos() == 0   ? Delivery::unacknowledged
                         : message.is_duplicate() ? Delivery::again
                                                  : Delivery::once;
    inbox_.put({message.get_topic(), message.get_payload(), now_(), message.is_retained()}, how);
}

void BrokerSource::on_connected(paho::async_client& client) {
    inbox_.connected();
    {
        const std::lock_guard guard{mutex_};
        next_wait_ = settings_.reconnect_first;
        trouble_.clear();
    }
    connected_ = true;
    ++connects_;
    note(ConnectionEvent::Kind::connected, settings_.url);
    try {
        for (const std::string& filter : settings_.filters)
            client.subscribe(filter, at_least_once, nullptr, subscribe_outcome_);
        client.publish(status_topic_, std::string{"online"}, at_least_once, true);
    } catch (
        const std::exception& problem) {  // the connection went away again: the next one repeats all this
        note(ConnectionEvent::Kind::subscription_refused, problem.what());
    }
}

void BrokerSource::on_lost(const std::string& why) {
    if (connected_.exchange(false)) retry_later(why);
}

void BrokerSource::on_connect_failed(const paho::token& token) {
    std::string why = reason_of(token);
    // Paho's C++ part cannot say safely which of the two it was.
    if (why == no_answer && settings_.url.starts_with("mqtts://"))
        why += ", or one of the two does not trust the other's certificate (see [broker.tls])";
    retry_later(why);
}

void BrokerSource::on_subscribe_failed(const paho::token& token) {
    const auto topics = token.get_topics();
    const std::string filter = topics && !topics->empty() ? (*topics)[0] : "?";
    note(ConnectionEvent::Kind::subscription_refused,
         "subscription to '" + filter + "' refused: " + reason_of(token));
}

void BrokerSource::retry_later(const std::string& why) {
    std::chrono::seconds wait{};
    bool news = false;
    {
        const std::lock_guard guard{mutex_};
        wait = next_wait_;
        next_wait_ = std::min(next_wait_ * 2, settings_.reconnect_longest);
        news = std::exchange(trouble_, why) != why;  // each reason once, however often it comes
    }
    if (news) note(ConnectionEvent::Kind::disconnected, why);
    connect_after(wait);
}

void BrokerSource::connect_after(std::chrono::seconds wait) {
    const std::lock_guard guard{mutex_};
    connect_at_ = steady_now() + wait;
    errand_.notify_one();
}

void BrokerSource::carry_until(const std::stop_token& stopping) {
    std::unique_lock lock{mutex_};
    while (!stopping.stop_requested()) {
        if (connect_at_ && *connect_at_ <= steady_now()) {
            connect_at_.reset();
            lock.unlock();
            try_to_connect();
            lock.lock();
        } else if (!outbox_.empty()) {
            const paho::const_message_ptr message = std::move(outbox_.front());
            outbox_.pop_front();
            lock.unlock();
            hand_over(message);
            lock.lock();
        } else if (connect_at_) {
            const SteadyTime until = *connect_at_;
            errand_.wait_until(lock, stopping, until,
                               [&] { return !outbox_.empty() || connect_at_ != until; });
        } else {
            errand_.wait(lock, stopping, [&] { return !outbox_.empty() || connect_at_.has_value(); });
        }
    }
    publish_dropped_ += outbox_.size();
    outbox_.clear();
}

void BrokerSource::try_to_connect() try {
    client_->connect(connect_options(settings_), nullptr, connect_outcome_);
} catch (const std::exception& problem) {
    retry_later(problem.what());
}

void BrokerSource::hand_over(const paho::const_message_ptr& message) try {
    client_->publish(message);
    ++published_;
} catch (const std::exception&) {
    ++publish_dropped_;
}

void BrokerSource::stop(Duration at_most) {
    if (!client_) return;
    const SteadyTime deadline = steady_now() + at_most;
    inbox_.stop_waiting();
    sender_ = {};
    try {
        if (connected_)
            client_->publish(status_topic_, std::string{"offline"}, at_least_once, true)
                ->wait_until(steady_now() + at_most / 2);
        client_->disconnect(0)->wait_until(deadline);
    } catch (const std::exception&) {
        // Not connected, or no longer: the last will speaks for us.
    }
    client_.reset();
    connected_ = false;
}

}  // namespace

std::unique_ptr<Source> connect_to_broker(Settings settings, std::function<Timestamp()> now,
                                          std::function<void()> wake) {
    return std::make_unique<BrokerSource>(std::move(settings), std::move(now), std::move(wake));
}

}  // namespace gyled::mqtt
