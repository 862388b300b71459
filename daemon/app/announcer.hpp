#pragma once
/// What others may know of the watch: the log, open pages, the broker, and (past a store that fails) the
/// phone.

#include <functional>
#include <set>
#include <string>

#include "daemon/app/deliveries.hpp"
#include "daemon/app/reject_log.hpp"
#include "daemon/config/config.hpp"
#include "daemon/mqtt/source.hpp"
#include "daemon/pipeline/listener.hpp"
#include "daemon/web/event.hpp"

namespace gyled::app {

struct AnnouncerParameters {
    base::Duration states_every = std::chrono::seconds{30};  ///< of each vessel, to the broker
    int connection_lines_max = 6;  ///< a minute in the log: a connection that comes and goes each second must
                                   ///< not flood it
};

/// Thread: the main loop's. Never throws. What is passed by reference must outlive it.
class Announcer final : public pipeline::Listener {
public:
    using TellPages = std::function<void(const web::Event&)>;
    Announcer(const config::Config& config, mqtt::Source& broker, Deliveries& deliveries,
              TellPages tell_pages, AnnouncerParameters parameters = {});

    void on_connection(const mqtt::ConnectionEvent& event) override;
    void on_reading(const sensors::Reading& reading) override;
    void on_reject(const sensors::Reject& reject) override;
    void on_effects(const cellar::Effects& effects) override;
    void on_commit(const cellar::Commit& group) override;
    void on_commit_failure(const std::string& problem) override;
    void on_unstored_notice(const annunciation::Notice& notice) override;

    /// What the last run left running.
    void resumed(const cellar::Cellar& core);
    /// Once a second: pages hear which vessels changed, the broker how they stand.
    void round(const cellar::Cellar& core, base::Timestamp now);

    [[nodiscard]] std::optional<base::Timestamp> last_reading() const {
        return last_reading_;
    }  ///< its arrival

private:
    [[nodiscard]] bool may_log_connection(base::Timestamp at);
    void announce(const alarms::Transition& transition);
    void publish_states(const cellar::Cellar& core);

    const config::Config& config_;
    mqtt::Source& broker_;
    Deliveries& deliveries_;
    TellPages tell_pages_;
    AnnouncerParameters parameters_;
    std::optional<base::Timestamp> last_reading_, states_at_;
    std::set<std::string> changed_;  ///< ids of vessels, since the last round
    RejectLog rejects_;
    bool disconnection_logged_ = false;
    std::optional<base::Timestamp> minute_began_;  ///< of the connection's lines
    int connection_lines_ = 0;
    std::string store_problem_;
};

}  // namespace gyled::app
