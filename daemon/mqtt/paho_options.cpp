#include "daemon/mqtt/paho_options.hpp"

#include <stdexcept>
#include <utility>

#include "sensors/topic.hpp"

namespace gyled::mqtt {
namespace {

/// What we tell the broker we can take; larger packets never leave it. Beyond any payload limit of sense.
constexpr int packet_size_max = 16 * 1024 * 1024;

paho::ssl_options tls_options(const Tls& tls) {
    paho::ssl_options options;
    options.set_enable_server_cert_auth(true);
    options.set_verify(true);
    if (!tls.ca_file.empty()) options.set_trust_store(tls.ca_file);
    if (!tls.certificate_file.empty()) options.set_key_store(tls.certificate_file);
    if (!tls.key_file.empty()) options.set_private_key(tls.key_file);
    return options;
}

}  // namespace

bool may_be_published_on(std::string_view topic) {
    return !topic.empty() && topic.size() <= 65'535 &&
           topic.find_first_of(std::string_view{"+#\0", 3}) == topic.npos;
}

Settings checked(Settings settings) {
    for (const std::string& filter : settings.filters)
        if (!sensors::topic_filter_valid(filter))
            throw std::invalid_argument("'" + filter + "' is not an MQTT topic filter");
    if (!may_be_published_on(settings.publish_prefix))
        throw std::invalid_argument("'" + settings.publish_prefix + "' cannot begin a topic");
    if (settings.client_id.empty())
        throw std::invalid_argument("the client id is empty: the broker could not keep our session");
    return settings;
}

std::string paho_url(const std::string& url) {
    for (const auto& [ours, theirs] :
         {std::pair<std::string_view, const char*>{"mqtt://", "tcp://"}, {"mqtts://", "ssl://"}})
        if (url.starts_with(ours) && url.size() > ours.size()) return theirs + url.substr(ours.size());
    throw std::invalid_argument("the broker's address must read mqtt://host or mqtts://host, not '" + url +
                                "'");
}

paho::connect_options connect_options(const Settings& settings) {
    paho::connect_options options;
    options.set_mqtt_version(MQTTVERSION_5);
    options.set_clean_start(false);
    options.set_keep_alive_interval(settings.keep_alive);
    const auto expiry_s = std::chrono::duration_cast<std::chrono::seconds>(settings.session_expiry).count();
    paho::properties properties;
    properties.add({paho::property::SESSION_EXPIRY_INTERVAL, static_cast<int>(expiry_s)});
    properties.add({paho::property::MAXIMUM_PACKET_SIZE, packet_size_max});
    options.set_properties(properties);
    if (!settings.user.empty()) options.set_user_name(settings.user);
    if (!settings.password.empty()) options.set_password(settings.password);
    options.set_will(paho::will_options{settings.publish_prefix + "/status", std::string{"offline"},
                                        at_least_once, true, paho::properties{}});
    if (settings.url.starts_with("mqtts://")) options.set_ssl(tls_options(settings.tls));
    return options;
}

std::string reason_text(int code) {
    const char* const text = MQTTReasonCode_toString(static_cast<MQTTReasonCodes>(code));
    return text != nullptr ? text : "reason code " + std::to_string(code);
}

std::string reason_of(const paho::token& token) {
    // A refused connection carries the broker's code as the return code, a refused subscription as the reason
    // code.
    if (token.get_return_code() >= 0x80) return reason_text(token.get_return_code());
    if (token.get_reason_code() >= 0x80) return reason_text(token.get_reason_code());
    if (token.get_return_code() < MQTTASYNC_FAILURE)
        return paho::exception::error_str(token.get_return_code());
    return std::string{no_answer};
}

}  // namespace gyled::mqtt
