/// The source over Paho.
///
/// Paho calls us with its one lock held, and all its functions take that lock. So while a message waits for
/// room in the queue, whoever calls Paho waits too; would the main thread, nobody were left to make room.
/// Therefore everything outgoing goes through a sender, a thread of ours, and the main thread calls Paho
/// only to stop, when nobody waits any more. The sender also connects: each failed attempt then tells its
/// reason, which Paho's automatic reconnect keeps to itself, and may be followed by one in another version of
/// MQTT, for which Paho wants a client anew.

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <deque>
#include <iterator>
#include <mutex>
#include <thread>
#include <utility>

#include "daemon/mqtt/broker_source.hpp"
#include "daemon/mqtt/inbox.hpp"
#include "daemon/mqtt/negotiation.hpp"
#include "daemon/mqtt/paho_options.hpp"
#include "daemon/mqtt/reach.hpp"
#include "daemon/mqtt/rival.hpp"
#include "daemon/mqtt/session_mark.hpp"

namespace gyled::mqtt {
namespace {

using SteadyTime = std::chrono::steady_clock::time_point;
SteadyTime steady_now() {
    return std::chrono::steady_clock::now();
}

/// Messages of ours that wait for the sender, and again that wait in Paho; beyond that, newer ones are
/// dropped.
constexpr int publish_backlog_max = 200;

/// How long we look for the reason when an attempt to connect failed. Stopping waits for it.
constexpr std::chrono::seconds reason_patience{2};

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
    std::vector<Message> look_ahead(std::size_t max) override { return inbox_.look_ahead(max); }
    void release(std::uint64_t batch) override { inbox_.release(batch); }
    void rewind() override { inbox_.rewind(); }
    MessageGroup drain_again(std::size_t max) override { return inbox_.drain_again(max); }
    std::vector<ConnectionEvent> take_events() override { return inbox_.take_events(); }
    bool publish(std::string_view topic, std::string_view payload, bool retained, int qos) override;
    Figures figures() const override;
    void stop(Duration at_most) override;

private:
    /// Hears how a request to the broker ended; Paho's thread.
    struct Outcome final : paho::iaction_listener {
        using Hears = void (BrokerSource::*)(const paho::token&);
        Outcome(BrokerSource& owner, Hears success, Hears failure)
            : owner_{owner}, success_{success}, failure_{failure} {}
        void on_success(const paho::token& token) override { (owner_.*success_)(token); }
        void on_failure(const paho::token& token) override { (owner_.*failure_)(token); }

    private:
        BrokerSource& owner_;
        const Hears success_, failure_;
    };

    // Paho's thread
    void on_message(const paho::message& message);
    void on_connected(const paho::token& token);
    void on_lost();
    void on_disconnected(int reason);
    void on_connect_failed(const paho::token& token);
    void on_subscribed(const paho::token&) {}
    void on_subscribe_failed(const paho::token& token);
    void on_unsubscribed(const paho::token&) { session_mark_.set(settings_.filters); }
    void on_unsubscribe_failed(const paho::token&) {}  // the next connection asks again
    void note_session(bool present);
    void subscribe(paho::iasync_client& client, bool session_present);
    void end_connection(const std::string& why, RivalWatch::End how);

    // the sender
    void carry_until(const std::stop_token& stopping);
    void make_client();
    void try_to_connect();
    void consider(const ConnectFailure& failure);
    [[nodiscard]] std::string words_for(const ConnectFailure& failure) const;
    void hand_over(const paho::const_message_ptr& message);

    void note(ConnectionEvent::Kind kind, std::string text) { inbox_.note({kind, std::move(text), now_()}); }
    void retry_later(const std::string& why);
    void connect_after(std::chrono::seconds wait);

    const Settings settings_;
    const std::function<Timestamp()> now_;
    Inbox inbox_;
    const std::string status_topic_;
    std::atomic<bool> connected_ = false;
    std::atomic<Version> version_ = Version::mqtt_5;  ///< of the attempt under way or the connection
    std::atomic<int> version_connected_ = 0;
    std::atomic<std::uint64_t> connects_ = 0, sessions_lost_ = 0, published_ = 0, publish_dropped_ = 0;
    Outcome connect_outcome_{*this, &BrokerSource::on_connected, &BrokerSource::on_connect_failed};
    Outcome subscribe_outcome_{*this, &BrokerSource::on_subscribed, &BrokerSource::on_subscribe_failed};
    Outcome unsubscribe_outcome_{*this, &BrokerSource::on_unsubscribed, &BrokerSource::on_unsubscribe_failed};
    SessionMark session_mark_;  ///< Paho's thread

    mutable std::mutex mutex_;  ///< guards what follows; nobody calls Paho while holding it
    std::condition_variable_any errand_;
    std::deque<paho::const_message_ptr> outbox_;
    std::optional<SteadyTime> connect_at_;
    std::optional<ConnectFailure> failure_;  ///< of the last attempt, for the sender to consider
    std::chrono::seconds next_wait_;
    std::string trouble_;  ///< why we are not connected, as last told
    Negotiation negotiation_;
    RivalWatch rival_;

    std::unique_ptr<paho::async_client> client_;  ///< the sender's; of `stop` when the sender has ended
    std::jthread sender_;
};

BrokerSource::BrokerSource(Settings settings, std::function<Timestamp()> now, std::function<void()> wake)
    : settings_{checked(std::move(settings))},
      now_{std::move(now)},
      inbox_{settings_, now_(), std::move(wake)},
      status_topic_{settings_.publish_prefix + "/status"},
      session_mark_{settings_.spool, settings_.url + ' ' + settings_.client_id},
      next_wait_{settings_.reconnect_first},
      negotiation_{settings_.protocol} {
    make_client();
}

/// Paho ties a client to a version of MQTT.
void BrokerSource::make_client() {
    client_.reset();
    {
        const std::lock_guard guard{mutex_};
        version_ = negotiation_.version();
    }
    client_ = std::make_unique<paho::async_client>(paho_url(settings_.url), settings_.client_id,
                                                   paho::create_options_builder{}
                                                       .mqtt_version(static_cast<int>(version_.load()))
                                                       .max_buffered_messages(publish_backlog_max)
                                                       .finalize());
    client_->set_message_callback([this](const paho::const_message_ptr& message) { on_message(*message); });
    client_->set_connection_lost_handler([this](const std::string&) { on_lost(); });
    client_->set_disconnected_handler(
        [this](const paho::properties&, paho::ReasonCode code) { on_disconnected(code); });
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
    figures.mqtt_version = version_connected_;
    figures.connects = connects_;
    figures.sessions_lost = sessions_lost_;
    figures.published = published_;
    figures.publish_dropped = publish_dropped_;
    const std::lock_guard guard{mutex_};
    figures.rival_since = rival_.since(steady_now());
    if (!connected_) figures.trouble = trouble_;
    return figures;
}

void BrokerSource::on_message(const paho::message& message) {
    const Delivery how = message.get_qos() == 0   ? Delivery::unacknowledged
                         : message.is_duplicate() ? Delivery::again
                                                  : Delivery::once;
    inbox_.put({message.get_topic(), message.get_payload(), now_(), message.is_retained()}, how);
}

void BrokerSource::on_connected(const paho::token& token) {
    inbox_.connected();
    {
        const std::lock_guard guard{mutex_};
        next_wait_ = settings_.reconnect_first;
        trouble_.clear();
        negotiation_.succeeded();
        rival_.connected(steady_now());
    }
    version_connected_ = static_cast<int>(version_.load());
    connected_ = true;
    ++connects_;
    const bool session_present = token.get_connect_response().is_session_present();
    note_session(session_present);
    note(ConnectionEvent::Kind::connected, words_of(version_));
    try {
        paho::iasync_client& client = *token.get_client();
        subscribe(client, session_present);
        client.publish(paho::make_message(status_topic_, std::string{"online"}, at_least_once, true));
    } catch (
        const std::exception& problem) {  // the connection went away again: the next one repeats all this
        note(ConnectionEvent::Kind::subscription_refused, problem.what());
    }
}

/// A broker that kept no session kept no messages for us either.
void BrokerSource::note_session(bool present) {
    if (!present && (connects_ > 1 || session_mark_.stands())) {
        ++sessions_lost_;
        note(ConnectionEvent::Kind::session_lost,
             "the broker had forgotten our session: what was published while we were away is lost");
    }
}

/// A session outlives our configuration: what only an earlier one asked for is left, and remembered until the
/// broker has said so.
void BrokerSource::subscribe(paho::iasync_client& client, bool session_present) {
    SessionMark::Filters others, all = settings_.filters;
    if (session_present) others = session_mark_.others_than(settings_.filters);
    std::ranges::copy(others, std::back_inserter(all));
    session_mark_.set(std::move(all));
    for (const std::string& filter : settings_.filters)
        client.subscribe(filter, at_least_once, nullptr, subscribe_outcome_);
    if (!others.empty())
        client.unsubscribe(paho::string_collection::create(others), nullptr, unsubscribe_outcome_);
}

void BrokerSource::on_lost() {
    end_connection("connection lost", RivalWatch::End::unexplained);
}

void BrokerSource::on_disconnected(int reason) {
    end_connection("the broker ended it: " + reason_text(reason), reason == MQTTREASONCODE_SESSION_TAKEN_OVER
                                                                      ? RivalWatch::End::taken_over
                                                                      : RivalWatch::End::explained);
}

void BrokerSource::end_connection(const std::string& why, RivalWatch::End how) {
    if (!connected_.exchange(false)) return;
    bool rival = false;
    {
        const std::lock_guard guard{mutex_};
        rival = rival_.ended(steady_now(), now_(), how);
    }
    if (rival)
        note(ConnectionEvent::Kind::rival,
             (how == RivalWatch::End::taken_over ? "another client uses" : "probably another client uses") +
                 (" our id '" + settings_.client_id) +
                 "': the broker ends our connection each time it comes, and each of the two hears a part of "
                 "the messages only");
    retry_later(why);
}

void BrokerSource::on_connect_failed(const paho::token& token) {
    ConnectFailure failure = failure_of(token, version_);
    const std::lock_guard guard{mutex_};
    rival_.not_reached();
    failure_ = std::move(failure);
    errand_.notify_one();
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
    const auto unlocked = [this](std::unique_lock<std::mutex>& lock, auto&& errand) {
        lock.unlock();
        errand();
        lock.lock();
    };
    std::unique_lock lock{mutex_};
    while (!stopping.stop_requested()) {
        if (failure_) {
            const ConnectFailure failure = *std::exchange(failure_, std::nullopt);
            unlocked(lock, [&] { consider(failure); });
        } else if (connect_at_ && *connect_at_ <= steady_now()) {
            connect_at_.reset();
            unlocked(lock, [&] { try_to_connect(); });
        } else if (!outbox_.empty()) {
            const paho::const_message_ptr message = std::move(outbox_.front());
            outbox_.pop_front();
            unlocked(lock, [&] { hand_over(message); });
        } else if (connect_at_) {
            const SteadyTime until = *connect_at_;
            errand_.wait_until(lock, stopping, until,
                               [&] { return failure_ || !outbox_.empty() || connect_at_ != until; });
        } else {
            errand_.wait(lock, stopping, [&] { return failure_ || !outbox_.empty() || connect_at_; });
        }
    }
    publish_dropped_ += outbox_.size();
    outbox_.clear();
}

void BrokerSource::try_to_connect() try {
    Version wanted{};
    {
        const std::lock_guard guard{mutex_};
        wanted = negotiation_.version();
    }
    if (version_ != wanted) make_client();
    client_->connect(connect_options(settings_, wanted), nullptr, connect_outcome_);
} catch (const std::exception& problem) {
    retry_later(problem.what());
}

void BrokerSource::consider(const ConnectFailure& failure) {
    {
        const std::lock_guard guard{mutex_};
        if (negotiation_.falls_back(failure)) {
            connect_at_ = steady_now();
            return;
        }
    }
    retry_later(words_for(failure));
}

std::string BrokerSource::words_for(const ConnectFailure& failure) const {
    if (failure.kind != ConnectFailure::Kind::no_connection) {
        const std::lock_guard guard{mutex_};
        return negotiation_.words(failure);
    }
    const auto why = why_unreachable(address_of(settings_.url), reason_patience);
    if (why) return "nobody answers (" + *why + "): the broker does not run, or not at this address and port";
    if (settings_.url.starts_with("mqtts://"))
        return "no TLS with what answers there: one of the two does not trust the other's certificate (see "
               "[broker.tls]), or that port does without TLS (mqtt://)";
    return "something listens there, but does not answer in time";
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
