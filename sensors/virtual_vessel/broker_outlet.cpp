#include "sensors/virtual_vessel/broker_outlet.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <stdexcept>

#include "sensors/virtual_vessel/stop.hpp"

namespace gyled::virtual_vessel {
namespace {

using namespace std::chrono_literals;

constexpr int quality = 1;
/// Enough to fill the pipe, small enough to repeat after a lost connection. A broker may want fewer: what
/// goes beyond its Receive Maximum waits inside Paho, which looks at it again only once a second (measured
/// with a broker that takes 20: 10 s instead of 1 s for 20,000 messages). Half of what the broker takes never
/// gets there and is as fast.
constexpr std::size_t most_under_way = 200;
constexpr std::size_t most_commands = 100;

/// Paho knows tcp:// and ssl://.
std::string paho_url(const std::string& url) {
    if (url.starts_with("mqtt://")) return "tcp://" + url.substr(7);
    if (url.starts_with("mqtts://")) return "ssl://" + url.substr(8);
    throw std::runtime_error{
        fmt::format("{} is no broker: write mqtt://host:port or mqtts://host:port", url)};
}

std::string client_id() {
    return fmt::format("gyle-vessel-{}", ::getpid());
}

}  // namespace

BrokerOutlet::BrokerOutlet(const BrokerOptions& options)
    : options_{options},
      client_{paho_url(options.url), client_id(),
              mqtt::create_options{MQTTVERSION_5, static_cast<int>(most_under_way) + 100}} {
    connect_options_ = mqtt::connect_options_builder()
                           .mqtt_version(MQTTVERSION_5)
                           .clean_start(true)
                           .keep_alive_interval(30s)
                           .connect_timeout(5s)
                           .max_inflight(static_cast<int>(most_under_way))
                           .finalize();
    if (!options_.user.empty()) connect_options_.set_user_name(options_.user);
    if (!options_.password.empty()) connect_options_.set_password(options_.password);
    if (options_.url.starts_with("mqtts://")) connect_options_.set_ssl(mqtt::ssl_options{});
    client_.set_message_callback([this](const mqtt::const_message_ptr& message) {
        const std::lock_guard lock{mutex_};
        if (commands_.size() < most_commands) commands_.push_back(message->to_string());
    });
    try {
        connect();
    } catch (const mqtt::exception& refused) {
        throw std::runtime_error{fmt::format("cannot connect to {}: {}", options_.url, refused.to_string())};
    }
}

BrokerOutlet::~BrokerOutlet() {
    try {
        if (client_.is_connected()) client_.disconnect(1000)->wait_for(2s);
    } catch (const mqtt::exception&) {
        // Going away all the same.
    }
}

void BrokerOutlet::connect() {
    const mqtt::token_ptr connected = client_.connect(connect_options_);
    connected->wait();
    window_ = most_under_way;
    const mqtt::connect_response response = connected->get_connect_response();
    const mqtt::properties& granted = response.get_properties();
    if (granted.contains(mqtt::property::RECEIVE_MAXIMUM)) {
        const auto most = mqtt::get<std::uint16_t>(granted, mqtt::property::RECEIVE_MAXIMUM);
        window_ = std::clamp<std::size_t>(most / 2, 1, most_under_way);
    }
    subscribe();
}

void BrokerOutlet::subscribe() {
    client_.subscribe(options_.topic_prefix + "/trouble", quality)->wait();
}

/// Until connected or stopped; then everything unacknowledged leaves again.
void BrokerOutlet::reconnect() {
    fmt::print(stderr, "gyle-vessel: lost {}, trying again\n", options_.url);
    for (auto pause = 500ms; !stop_asked(); pause = std::min<std::chrono::milliseconds>(2 * pause, 10s)) {
        try {
            connect();
            fmt::print(stderr, "gyle-vessel: connected to {} again\n", options_.url);
            if (std::ranges::all_of(under_way_, [this](UnderWay& one) { return send(one); })) return;
        } catch (const mqtt::exception&) {
            // Still not there.
        }
        sleep_unless_stopped(pause);
    }
}

bool BrokerOutlet::send(UnderWay& one) {
    try {
        one.token = client_.publish(one.document.topic, one.document.payload.data(),
                                    one.document.payload.size(), quality, false);
        return true;
    } catch (const mqtt::exception&) {
        return false;
    }
}

bool BrokerOutlet::settle_oldest(std::chrono::milliseconds span) {
    try {
        if (!under_way_.front().token->wait_for(span)) return false;
        under_way_.pop_front();
        return true;
    } catch (const mqtt::exception&) {
        return false;  // the connection went away with it
    }
}

void BrokerOutlet::deliver(const Document& document) {
    while (under_way_.size() >= window_ && !stop_asked())
        if (!settle_oldest(500ms) && !client_.is_connected()) reconnect();
    // Those at the front that are through cost nothing to drop.
    while (!under_way_.empty() && under_way_.front().token->is_complete() && settle_oldest(0ms)) continue;
    if (stop_asked()) return;

    under_way_.push_back({document, nullptr});
    while (!stop_asked() && !send(under_way_.back())) {
        // Reconnecting sends all that is under way, this one too.
        if (!client_.is_connected()) return reconnect();
        sleep_unless_stopped(10ms);
    }
}

void BrokerOutlet::finish() {
    const auto until = std::chrono::steady_clock::now() + (stop_asked() ? 2s : 30s);
    while (!under_way_.empty() && std::chrono::steady_clock::now() < until)
        if (!settle_oldest(100ms) && !client_.is_connected()) {
            if (stop_asked()) break;
            reconnect();
        }
    if (!under_way_.empty() && !stop_asked())
        throw std::runtime_error{
            fmt::format("{} never acknowledged {} messages", options_.url, under_way_.size())};
}

std::optional<std::string> BrokerOutlet::next_command() {
    const std::lock_guard lock{mutex_};
    if (commands_.empty()) return std::nullopt;
    std::string command = std::move(commands_.front());
    commands_.pop_front();
    return command;
}

void BrokerOutlet::answer(const std::string& text) {
    deliver({{}, options_.topic_prefix + "/trouble/answer", text});
}

}  // namespace gyled::virtual_vessel
