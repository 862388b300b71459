#include "tests/support/mqtt_peer.hpp"

#include <mqtt/async_client.h>

namespace gyled::testing {
namespace {

constexpr auto patience_with_the_broker = std::chrono::seconds{30};

void finish(const mqtt::token_ptr& token) {
    if (!token->wait_for(patience_with_the_broker))
        throw std::runtime_error("the broker does not answer the peer");
}

}  // namespace

struct MqttPeer::State {
    State(const std::string& url, const std::string& client_id)
        : client{"tcp" + url.substr(url.find(':')), client_id,
                 mqtt::create_options_builder{}
                     .mqtt_version(MQTTVERSION_5)

                     .finalize()} {}
    mqtt::async_client client;
};

MqttPeer::MqttPeer(const std::string& url, const std::string& client_id)
    : state_{std::make_unique<State>(url, client_id)} {
    mqtt::connect_options options;
    options.set_mqtt_version(MQTTVERSION_5);
    options.set_clean_start(true);
    state_->client.start_consuming();
    finish(state_->client.connect(options));
}

MqttPeer::~MqttPeer() {
    try {
        state_->client.disconnect()->wait_for(std::chrono::seconds{2});
    } catch (const std::exception&) {  // the broker went first
    }
}

void MqttPeer::publish(const std::string& topic, const std::string& payload, int qos, bool retained) {
    finish(state_->client.publish(topic, payload.data(), payload.size(), qos, retained));
}

void MqttPeer::subscribe(const std::string& filter) {
    finish(state_->client.subscribe(filter, 1));
}

std::optional<MqttPeer::Heard> MqttPeer::hear(std::chrono::milliseconds patience) {
    mqtt::const_message_ptr message;
    if (!state_->client.try_consume_message_for(&message, patience) || !message) return std::nullopt;
    return Heard{message->get_topic(), message->get_payload_str(), message->is_retained()};
}

}  // namespace gyled::testing
