#pragma once
/// Between the outbox in the store and the courier's threads: hands over what is due, writes down what became
/// of it, sends what one messenger does not get through by another as well, and says which do not.

#include <boost/asio/io_context.hpp>
#include <cstdint>
#include <functional>
#include <memory>

#include "daemon/app/messengers.hpp"
#include "daemon/base/impairment.hpp"
#include "daemon/base/time.hpp"
#include "daemon/config/config.hpp"
#include "daemon/storage/outbox.hpp"

namespace gyled::app {

/// Thread: the main loop's. Throws std::runtime_error from the constructor when a messenger's secret cannot
/// be read.
class Deliveries {
public:
    Deliveries(boost::asio::io_context& loop, storage::Outbox& outbox, const config::Config& config,
               std::function<base::Timestamp()> clock, BrokerWay broker);
    ~Deliveries();

    /// Once a second: what has waited long enough goes to a further messenger, then `offer_due`.
    void round();
    /// Hands to the courier what came into the outbox since; what is already with it is not handed over
    /// twice.
    void offer_due();
    /// To the notice's recipients, past the outbox: for when the store fails. Tried
    /// again like any other, but forgotten when the daemon ends.
    void offer_at_once(const annunciation::Notice& notice);
    /// Lets what is on its way arrive, briefly; the rest stays in the outbox for the next run.
    void stop();

    /// `delivery_failing` for each messenger that does not get through, with its last answer.
    [[nodiscard]] base::Impairments impairments() const;
    [[nodiscard]] std::uint64_t delivered() const;
    [[nodiscard]] std::uint64_t expired() const;

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::app
