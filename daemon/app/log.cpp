#include "daemon/app/log.hpp"

#include <spdlog/pattern_formatter.h>
#include <spdlog/sinks/stdout_color_sinks.h>
#include <spdlog/spdlog.h>

#include <cstdlib>
#include <memory>

namespace gyled::app {
namespace {

/// The journal reads a leading "<4>" as the line's priority (sd-daemon(3)).
class JournalPriority final : public spdlog::custom_flag_formatter {
public:
    void format(const spdlog::details::log_msg& message, const std::tm&, spdlog::memory_buf_t& out) override {
        const char digit = message.level >= spdlog::level::err    ? '3'
                           : message.level == spdlog::level::warn ? '4'
                           : message.level == spdlog::level::info ? '6'
                                                                  : '7';
        const char text[] = {'<', digit, '>'};
        out.append(text, text + sizeof text);
    }
    [[nodiscard]] std::unique_ptr<custom_flag_formatter> clone() const override {
        return std::make_unique<JournalPriority>();
    }
};

}  // namespace

void log_to_stderr(const std::string& level) {
    const auto colour =
        std::getenv("NO_COLOR") == nullptr ? spdlog::color_mode::automatic : spdlog::color_mode::never;
    auto sink = std::make_shared<spdlog::sinks::stderr_color_sink_mt>(colour);
    auto logger = std::make_shared<spdlog::logger>("gyled", sink);
    if (std::getenv("JOURNAL_STREAM") != nullptr) {
        auto formatter = std::make_unique<spdlog::pattern_formatter>();
        formatter->add_flag<JournalPriority>('*').set_pattern("%*%v");
        logger->set_formatter(std::move(formatter));
    } else {
        logger->set_pattern("%Y-%m-%d %H:%M:%S %^%l%$ %v");
    }
    logger->set_level(spdlog::level::from_str(level));
    logger->flush_on(spdlog::level::info);
    spdlog::set_default_logger(logger);
}

}  // namespace gyled::app
