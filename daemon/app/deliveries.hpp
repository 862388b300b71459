#pragma once
/// Between the outbox in the store and the courier's thread: hands over what is due, writes down what became
/// of it.

#include <boost/asio/io_context.hpp>
#include <cstdint>
#include <functional>
#include <memory>

#include "daemon/base/time.hpp"
#include "daemon/config/config.hpp"
#include "daemon/storage/store.hpp"

namespace gyled::app {

/// Thread: the main loop's. Throws std::runtime_error from the constructor when a messenger's secret cannot
/// be read.
class Deliveries {
public:
    Deliveries(boost::asio::io_context& loop, storage::Store& store, const config::Config& config,
               std::function<base::Timestamp()> clock,
               std::function<void(const std::string& topic, const std::string& text)> publish);
    ~Deliveries();

    /// Hands everything due to the courier; what is already with it is not handed over twice.
    void offer_due();
    /// To every messenger that listens to such a notice, past the outbox: for when the store fails. Tried
    /// again like any other, but forgotten when the daemon ends.
    void offer_at_once(const annunciation::Notice& notice);
    /// Lets what is on its way arrive, briefly; the rest stays in the outbox for the next run.
    void stop();

    [[nodiscard]] std::uint64_t delivered() const;
    [[nodiscard]] std::uint64_t failed() const;

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::app
