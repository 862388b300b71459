#include "daemon/cli/log_source.hpp"

#include <stdexcept>

namespace gyled::cli {

LogSource::LogSource(const std::string& path, sensors::Intake taster) : lines_{path} {
    taste(taster);
}

void LogSource::taste(sensors::Intake& taster) {
    while (!first_reading_) {
        auto message = next();
        if (!message) return;
        const auto readings = taster.accept(*message).readings;
        if (!readings.empty()) first_reading_ = readings.front().at;
        tasted_.push_back(std::move(*message));
    }
}

std::optional<sensors::Message> LogSource::next() {
    while (const auto line = lines_.next()) {
        if (line->empty() || line->front() == '#') continue;
        if (auto message = parse_log_line(*line)) return message;
        ++not_lines_;
    }
    return std::nullopt;
}

mqtt::MessageGroup LogSource::drain(std::size_t max) try {
    mqtt::MessageGroup group{.id = ++groups_, .messages = {}, .more = true};
    for (; !tasted_.empty() && group.messages.size() < max; tasted_.pop_front())
        group.messages.push_back(std::move(tasted_.front()));
    while (group.messages.size() < max) {
        auto message = next();
        if (!message) {
            group.more = false;
            break;
        }
        group.messages.push_back(std::move(*message));
    }
    return group;
} catch (const std::runtime_error& trouble) {
    problem_ = trouble.what();
    return {};
}

}  // namespace gyled::cli
