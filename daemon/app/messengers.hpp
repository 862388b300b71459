#pragma once
/// The messengers that the configuration names, built.

#include <atomic>
#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <string>

#include "daemon/config/config.hpp"
#include "daemon/notify/courier.hpp"

namespace gyled::app {

/// The way to the broker, for messengers of kind "mqtt". Called on the main loop's thread.
struct BrokerWay {
    std::function<void(const std::string& topic, const std::string& text)> publish;
    std::function<bool()> is_connected;
};

/// What those messengers may know of the broker on their own threads.
using BrokerConnected = std::shared_ptr<std::atomic<bool>>;

/// `loop` and what `publish` refers to must outlive them. Throws std::runtime_error, naming the messenger,
/// when its secret cannot be read.
[[nodiscard]] notify::Courier::Messengers messengers(
    const config::Config& config, boost::asio::io_context& loop,
    const std::function<void(const std::string& topic, const std::string& text)>& publish,
    const BrokerConnected& connected);

}  // namespace gyled::app
