#include "daemon/app/translate.hpp"

#include <fmt/format.h>

#include <stdexcept>

namespace gyled::app {
std::string secret_text(const config::Secret& secret, const std::string& what) {
    if (!secret.given()) return {};
    auto text = config::read_secret(secret);
    if (!text) throw std::runtime_error(fmt::format("{}: {}", what, text.error()));
    return std::move(text).value();
}

namespace {

mqtt::Protocol protocol_of(config::BrokerProtocol protocol) {
    switch (protocol) {
        case config::BrokerProtocol::mqtt_5:
            return mqtt::Protocol::mqtt_5;
        case config::BrokerProtocol::mqtt_3_1_1:
            return mqtt::Protocol::mqtt_3_1_1;
        case config::BrokerProtocol::automatic:
            break;
    }
    return mqtt::Protocol::automatic;
}

}  // namespace

mqtt::Settings mqtt_settings(const config::Config& config, std::vector<std::string> filters) {
    mqtt::Settings settings;
    settings.url = config.broker.url;
    settings.protocol = protocol_of(config.broker.protocol);
    settings.client_id = config.broker.client_id;
    settings.user = config.broker.user;
    settings.password = secret_text(config.broker.password, "[broker] password");
    if (config.broker.tls)
        settings.tls = {config.broker.tls->ca_file, config.broker.tls->certificate_file,
                        config.broker.tls->key_file};
    settings.session_expiry = config.broker.session_expiry;
    settings.filters = std::move(filters);
    settings.publish_prefix = config.broker.publish_prefix;
    settings.spool = config.storage.spool.empty() ? config.storage.path + ".spool" : config.storage.spool;
    settings.spool_limits.bytes = static_cast<std::uint64_t>(config.storage.spool_mib) * 1024 * 1024;
    return settings;
}

web::Settings web_settings(const config::Config& config) {
    web::Settings settings;
    settings.listen = config.web.listen;
    settings.socket = config.web.socket;
    settings.names = config.web.host_names;
    settings.write_token = secret_text(config.web.write_token, "[web] write_token");
    return settings;
}

pipeline::Parameters pipeline_parameters(const config::Config& config) {
    pipeline::Parameters parameters;
    parameters.ledger.commit_every = config.storage.commit_every;
    return parameters;
}

HousekeepingParameters housekeeping_parameters(const config::Config& config) {
    HousekeepingParameters parameters;
    parameters.keep_raw = std::chrono::hours{24} * config.storage.keep_raw_days;
    return parameters;
}

}  // namespace gyled::app
