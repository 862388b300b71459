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

std::optional<LogLine> LogSource::read() {
    while (const auto line = lines_.next()) {
        ++number_;
        if (line->empty() || line->front() == '#') continue;
        if (auto message = parse_log_line(*line)) return LogLine{number_, *std::move(message)};
        ++not_lines_;
    }
    return std::nullopt;
}

void LogSource::read_ahead() {
    while (ahead_.size() <= LogPlace::neighbours) {
        auto line = read();
        if (!line) return;
        ahead_.push_back(*std::move(line));
    }
}

std::optional<sensors::Message> LogSource::next() {
    while (true) {
        read_ahead();
        if (ahead_.empty()) return std::nullopt;
        const bool belongs = place_.take(ahead_);
        LogLine line = std::move(ahead_.front());
        ahead_.pop_front();
        if (belongs) return std::move(line.message);
        misplaced_.note(line);
    }
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
