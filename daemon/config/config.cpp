#include "daemon/config/config.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <fstream>
#include <iterator>
#include <system_error>

#include "daemon/config/readers.hpp"

namespace gyled::config {
namespace {

using base::Result;
using base::Unexpected;

Result<Config, Mistakes> read_config(std::string_view text, const std::string& file, Follow follow) {
    Report report{text, file, follow};
    const auto table = parse_toml(text, report);
    if (!table) return Unexpected{report.take()};
    Config config;
    config.file = file;
    Section root{*table, report, "the configuration"};
    read_broker(root, config.broker);
    read_site(root, config.site);
    read_storage(root, config.storage);
    config.vessels = read_vessels(root, config.site);
    config.sensors = read_sensors(root, config.vessels, config.site.display.time_zone);
    config.alarms = read_alarms(root, config.vessels);
    config.messengers = read_messengers(root);
    read_web(root, config.web);
    root.finish();
    if (!report.clean()) return Unexpected{report.take()};
    config.warnings = report.take();
    return config;
}

Result<batch::Plan, Mistakes> read_plan(std::string_view text, const std::string& file) {
    Report report{text, file, Follow::nothing};
    const auto table = parse_toml(text, report);
    if (!table) return Unexpected{report.take()};
    Section root{*table, report, "a batch"};
    batch::Plan plan = read_batch(root);
    root.finish();
    if (!report.clean()) return Unexpected{report.take()};
    return plan;
}

Mistakes compared(std::string_view text, const std::string& file, const Config& config) {
    Report report{text, file, Follow::nothing};
    const auto table = parse_toml(text, report);
    if (!table) return report.take();
    Section root{*table, report, "a batch"};
    (void)read_batch(root, &config);
    root.finish();
    return report.take();
}

/// The file's text, or the one mistake that it cannot be read.
Result<std::string, Mistakes> text_of(const std::string& path) {
    const auto unreadable = [&](const std::string& why) {
        return Unexpected{Mistakes{{path, 0, 0, "cannot be read: " + why, {}}}};
    };
    try {
        errno = 0;
        std::ifstream file{path, std::ios::binary};
        if (!file) return unreadable(std::system_category().message(errno));
        return std::string{std::istreambuf_iterator<char>{file}, {}};
    } catch (const std::exception&) {  // a folder opens, but does not read
        return unreadable(std::system_category().message(errno == 0 ? EIO : errno));
    }
}

}  // namespace

Result<Config, Mistakes> load_config(const std::string& path) {
    const auto text = text_of(path);
    if (!text) return Unexpected{text.error()};
    return read_config(*text, path, Follow::open_modes);
}
Result<Config, Mistakes> check_config(const std::string& path) {
    const auto text = text_of(path);
    if (!text) return Unexpected{text.error()};
    return read_config(*text, path, Follow::everything);
}
Result<Config, Mistakes> parse_config(std::string_view text, const std::string& file) {
    return read_config(text, file, Follow::nothing);
}
Result<batch::Plan, Mistakes> load_batch(const std::string& path) {
    const auto text = text_of(path);
    if (!text) return Unexpected{text.error()};
    return read_plan(*text, path);
}
Result<batch::Plan, Mistakes> parse_batch(std::string_view text, const std::string& file) {
    return read_plan(text, file);
}

Mistakes check_batch(const std::string& path, const Config& config) {
    const auto text = text_of(path);
    return text ? compared(*text, path, config) : text.error();
}
Mistakes check_batch_text(std::string_view text, const std::string& file, const Config& config) {
    return compared(text, file, config);
}

void Names::add(Section& section, std::string_view key, const std::string& name) {
    if (name.empty()) return;
    const auto [earlier, fresh] = taken_.emplace(name, section.place(key).line);
    if (!fresh)
        section.mistake(key,
                        fmt::format("{}: '{}' is taken already, in line {}", key, name, earlier->second));
}

}  // namespace gyled::config
