#include "daemon/app/messengers.hpp"

#include <boost/asio/post.hpp>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "daemon/app/translate.hpp"
#include "daemon/notify/push.hpp"
#include "daemon/notify/webhook.hpp"

namespace gyled::app {
namespace {

using Publish = std::function<void(const std::string& topic, const std::string& text)>;

/// A lamp or a buzzer at the broker: works with no internet. Handing over is all that can be known.
class MqttMessenger final : public notify::Messenger {
public:
    MqttMessenger(boost::asio::io_context& loop, Publish publish, std::string topic,
                  BrokerConnected connected)
        : loop_{loop},
          publish_{std::move(publish)},
          topic_{std::move(topic)},
          connected_{std::move(connected)} {}

    [[nodiscard]] notify::Delivery send(const annunciation::Notice& notice) override {
        if (!*connected_) return {.words = "no connection to the broker"};
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
        return {.accepted = true, .words = "handed to the broker"};
    }

private:
    boost::asio::io_context& loop_;
    Publish publish_;
    std::string topic_;
    BrokerConnected connected_;
};

std::unique_ptr<notify::Messenger> messenger(const config::Messenger& m, boost::asio::io_context& loop,
                                             const Publish& publish, const BrokerConnected& connected) {
    const std::string token = secret_text(m.token, "[[messenger]] " + m.name + " token");
    switch (m.kind) {
        case config::Messenger::Kind::push:
            return std::make_unique<notify::PushMessenger>(
                notify::PushSettings{m.url, m.topic, token, m.click_url, m.timeout});
        case config::Messenger::Kind::webhook:
            return std::make_unique<notify::WebhookMessenger>(notify::WebhookSettings{
                m.url, m.method, m.content_type, m.headers, m.body, token, m.timeout, m.expected_answer});
        case config::Messenger::Kind::mqtt:
            return std::make_unique<MqttMessenger>(loop, publish, m.topic, connected);
        case config::Messenger::Kind::mail:
            break;  // refused by the configuration
    }
    throw std::runtime_error("[[messenger]] " + m.name + ": this kind is not available");
}

}  // namespace

notify::Courier::Messengers messengers(const config::Config& config, boost::asio::io_context& loop,
                                       const Publish& publish, const BrokerConnected& connected) {
    notify::Courier::Messengers all;
    for (const config::Messenger& m : config.messengers)
        all.emplace(m.name, messenger(m, loop, publish, connected));
    return all;
}

}  // namespace gyled::app
