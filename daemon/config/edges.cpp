/// [broker], [site], [storage], [web]: where we are and whom we talk to.

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "daemon/config/readers.hpp"

namespace gyled::config {
namespace {

using namespace std::chrono_literals;

bool is_port(std::string_view text) {
    int port = 0;
    const auto [stopped, error] = std::from_chars(text.data(), text.data() + text.size(), port);
    return error == std::errc{} && stopped == text.data() + text.size() && port >= 1 && port <= 65'535;
}

bool is_host(std::string_view text) {
    constexpr std::string_view allowed = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-_";
    if (text.size() > 2 && text.front() == '[' && text.back() == ']')  // an IPv6 address
        return text.substr(1, text.size() - 2).find_first_not_of("0123456789abcdefABCDEF:.%") == text.npos;
    return !text.empty() && text.size() <= 253 && text.find_first_not_of(allowed) == text.npos;
}

/// host, host:port, [ipv6] or [ipv6]:port
bool is_host_and_port(std::string_view text, bool port_needed) {
    const std::size_t colon = text.find(':', text.find(']') == text.npos ? 0 : text.find(']'));
    if (colon == text.npos) return !port_needed && is_host(text);
    return is_host(text.substr(0, colon)) && is_port(text.substr(colon + 1));
}

void check_broker_url(Section& section, const std::string& url) {
    const std::size_t colon = url.find("://");
    const std::string_view scheme = std::string_view{url}.substr(0, colon == url.npos ? 0 : colon);
    const std::string_view rest = std::string_view{url}.substr(colon == url.npos ? 0 : colon + 3);
    if (scheme != "mqtt" && scheme != "mqtts")
        section.mistake("url", fmt::format("url: '{}' does not begin with mqtt:// or mqtts://", url));
    else if (rest.find('@') != rest.npos)
        section.mistake(
            "url", "url: user and password have keys of their own, so that no password stands in this file");
    else if (!is_host_and_port(rest, false))
        section.mistake("url",
                        fmt::format("url: '{}' is not a host, or a host and a port from 1 to 65535", rest));
}

void read_tls(Section& broker_section, Broker& broker) {
    auto section = broker_section.table("tls");
    if (!section) return;
    BrokerTls tls;
    section->existing_path("ca_file", tls.ca_file);
    section->existing_path("certificate_file", tls.certificate_file);
    section->existing_path("key_file", tls.key_file);
    if (section->has("certificate_file") != section->has("key_file"))
        section->mistake(section->has("key_file") ? "key_file" : "certificate_file",
                         "certificate_file and key_file belong together");
    section->finish();
    if (!broker.url.starts_with("mqtts://"))
        section->mistake(
            {},
            "[broker.tls] is given, but the url does not begin with mqtts://: nothing would be encrypted");
    broker.tls = tls;
}

const Choices<BrokerProtocol> protocols{{"auto", BrokerProtocol::automatic},
                                        {"5", BrokerProtocol::mqtt_5},
                                        {"3.1.1", BrokerProtocol::mqtt_3_1_1}};
const Choices<display::TemperatureUnit> temperature_units{{"degC", display::TemperatureUnit::celsius},
                                                          {"degF", display::TemperatureUnit::fahrenheit}};
const Choices<display::PressureUnit> pressure_units{{"kPa", display::PressureUnit::kilopascal},
                                                    {"bar", display::PressureUnit::bar},
                                                    {"psi", display::PressureUnit::psi}};
const Choices<display::GravityUnit> gravity_units{{"SG", display::GravityUnit::specific_gravity},
                                                  {"degP", display::GravityUnit::plato}};
const Choices<display::VolumeUnit> volume_units{{"L", display::VolumeUnit::litre},
                                                {"gal", display::VolumeUnit::us_gallon}};

void read_units(Section& site, display::Display& display) {
    const toml::node* const node = site.find("units");
    if (node == nullptr) return;
    if (!node->is_table()) {
        const Choices<bool> systems{{"metric", true}, {"us", false}};
        bool metric = true;
        site.choice("units", metric, systems);
        display = metric ? display::Display::metric() : display::Display::us();
        return;
    }
    auto units = site.table("units");
    units->choice("temperature", display.temperature, temperature_units);
    units->choice("pressure", display.pressure, pressure_units);
    units->choice("gravity", display.gravity, gravity_units);
    units->choice("volume", display.volume, volume_units);
    units->finish();
}

void read_host_names(Section& section, std::vector<std::string>& names) {
    section.texts("host_names", names);
    for (std::string& name : names) {
        if (name.ends_with('.')) name.pop_back();  // the root's dot, which nobody sends
        if (!is_host(name) || name.front() == '[')
            section.mistake(
                "host_names",
                fmt::format("host_names: '{}' is not a host name; write it as the browser's address line "
                            "shows it, without https:// and port, as \"cellar.example\"",
                            name));
    }
}

}  // namespace

void read_broker(Section& root, Broker& broker) {
    auto section = root.table("broker");
    if (!section) return;
    section->text("url", broker.url);
    check_broker_url(*section, broker.url);
    section->choice("protocol", broker.protocol, protocols);
    section->text("client_id", broker.client_id);
    if (broker.client_id.empty() || broker.client_id.size() > 128)
        section->mistake("client_id",
                         "client_id: 1 to 128 characters; the broker keeps our session under this name");
    section->text("user", broker.user);
    section->secret("password", broker.password);
    if (section->has("password") && broker.user.empty())
        section->mistake("password", "password: a password needs a user");
    section->duration("session_expiry", broker.session_expiry, {1min, 24h * 365});
    section->text("publish_prefix", broker.publish_prefix);
    const std::string& prefix = broker.publish_prefix;
    if (prefix.empty() || prefix.front() == '$' || prefix.front() == '/' || prefix.back() == '/' ||
        prefix.find_first_of(std::string_view{"+#\0", 3}) != prefix.npos || prefix.size() > 1000)
        section->mistake("publish_prefix",
                         "publish_prefix: the beginning of a topic, without + and #, not beginning with / or "
                         "$ nor ending in /");
    read_tls(*section, broker);
    section->finish();
}

void read_site(Section& root, Site& site) {
    site.display = display::Display::metric();
    auto section = root.table("site");
    if (!section) return;
    section->text("name", site.name);
    section->number("elevation_m", site.elevation_m, {-430, 5500});  // from the Dead Sea to the highest towns
    section->number("room_m3", site.room_m3, room_m3);
    read_units(*section, site.display);
    section->text("time_zone", site.display.time_zone);
    if (!display::time_zone_known(site.display.time_zone))
        section->mistake(
            "time_zone",
            fmt::format("time_zone: '{}' is no time zone that this machine knows; write its name "
                        "as in \"Europe/Lisbon\" (is tzdata installed?)",
                        site.display.time_zone));
    section->finish();
}

void read_storage(Section& root, Storage& storage) {
    if (auto section = root.table("storage")) {
        section->text("path", storage.path);
        section->text("spool", storage.spool);
        section->whole("spool_mib", storage.spool_mib, 1, 16'384);
        section->duration("commit_every", storage.commit_every, {100ms, 10min});
        section->whole("keep_raw_days", storage.keep_raw_days, 1, 36'500);
        if (storage.path.empty()) section->mistake("path", "path: the name is empty");
        section->finish();
    }
    // Defaults are relative to the file's folder, too.
    storage.path = root.report().beside_file(storage.path);
    storage.spool =
        storage.spool.empty() ? storage.path + ".spool" : root.report().beside_file(storage.spool);
}

void read_web(Section& root, Web& web) {
    auto section = root.table("web");
    if (section) {
        section->text("listen", web.listen);
        if (!web.listen.empty() && !is_host_and_port(web.listen, true))
            section->mistake(
                "listen",
                fmt::format("listen: '{}' is not an address and a port, as 127.0.0.1:8075", web.listen));
        section->text("socket", web.socket);
        read_host_names(*section, web.host_names);
        section->secret("write_token", web.write_token);
        section->finish();
    }
    web.socket = root.report().beside_file(web.socket);
    constexpr std::size_t socket_path_max = 107;  // sun_path of unix(7), without its closing zero
    if (section && web.socket.size() > socket_path_max)
        section->mistake(
            "socket", fmt::format("socket: the path of a Unix socket has at most {} bytes", socket_path_max));
}

}  // namespace gyled::config
