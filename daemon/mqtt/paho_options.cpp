#include "daemon/mqtt/paho_options.hpp"

#include <fmt/format.h>

#include <array>
#include <stdexcept>
#include <utility>

#include "sensors/topic.hpp"

namespace gyled::mqtt {
namespace {

/// MQTT 5, section 2.4: reason codes below are successes, and so free for the codes of MQTT 3.1.1.
constexpr int first_reason_of_failure = 0x80;

/// What we tell a broker of MQTT 5 we can take; larger packets never leave it. Far beyond any payload that a
/// sensor reads, and little enough that one of them, held twice on its way through the library, is no danger
/// to our memory.
constexpr int packet_size_max = 1024 * 1024;

/// The words for what a broker of MQTT 3.1.1 returns to CONNECT. Source: OASIS MQTT 3.1.1, table 3.1.
std::string return_code_text(int code) {
    constexpr std::array words{"accepted",
                               "unacceptable protocol version",
                               "client id refused",
                               "the broker is not available",
                               "bad user name or password",
                               "not authorized"};
    const auto index = static_cast<std::size_t>(code);
    return index < words.size() ? words[index] : "return code " + std::to_string(code);
}

/// "Not authorized" and its like: what a person can mend.
bool is_of_login(int code) {
    return code == 4 || code == 5 || code == MQTTREASONCODE_BAD_USER_NAME_OR_PASSWORD ||
           code == MQTTREASONCODE_NOT_AUTHORIZED;
}

std::string refusal_words(int code) {
    const std::string words = code < first_reason_of_failure ? return_code_text(code) : reason_text(code);
    return is_of_login(code)
               ? fmt::format("the broker refuses our login: {} (user and password in [broker])", words)
               : fmt::format("the broker refuses us: {}", words);
}

/// What Paho says when the connection stood and our CONNECT had been sent. It has no code for it.
constexpr std::string_view said_when_closed = "TCP connect completion failure";

/// Paho's own words for a failed attempt.
std::string message_of(const paho::token& token) try {
    (void)token.get_connect_response();
    return {};
} catch (const paho::exception& problem) {
    return problem.get_message();
} catch (const std::exception& problem) {
    return problem.what();
}

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

paho::connect_options connect_options(const Settings& settings, Version version) {
    paho::connect_options options;
    options.set_keep_alive_interval(settings.keep_alive);
    options.set_connect_timeout(settings.connect_patience);
    if (version == Version::mqtt_5) {
        options.set_mqtt_version(MQTTVERSION_5);
        options.set_clean_start(false);
        const auto expiry_s =
            std::chrono::duration_cast<std::chrono::seconds>(settings.session_expiry).count();
        paho::properties properties;
        properties.add({paho::property::SESSION_EXPIRY_INTERVAL, static_cast<int>(expiry_s)});
        properties.add({paho::property::MAXIMUM_PACKET_SIZE, packet_size_max});
        options.set_properties(properties);
    } else {
        options.set_mqtt_version(MQTTVERSION_3_1_1);
        options.set_clean_session(false);
    }
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

ConnectFailure failure_of(const paho::token& token, Version version) {
    using Kind = ConnectFailure::Kind;
    const int code = token.get_return_code();
    if (code == MQTTREASONCODE_UNSUPPORTED_PROTOCOL_VERSION || code == 1)
        return {Kind::version_refused, refusal_words(code)};
    // A broker of MQTT 3.1.1 may look at the login before it looks at the version.
    if (code > 1 && code < first_reason_of_failure && version == Version::mqtt_5)
        return {Kind::version_refused, refusal_words(code)};
    if (code > 0) return {Kind::refused, refusal_words(code)};
    if (message_of(token) == said_when_closed) return {Kind::closed, {}};
    return {Kind::no_connection, {}};
}

std::string reason_of(const paho::token& token) {
    // A refused subscription carries the broker's code as the reason code, or as the return code.
    for (const int code : {token.get_return_code(), static_cast<int>(token.get_reason_code())})
        if (code >= first_reason_of_failure) return reason_text(code);
    if (token.get_return_code() < 0) return paho::exception::error_str(token.get_return_code());
    return "no reason given";
}

}  // namespace gyled::mqtt
