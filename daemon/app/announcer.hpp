#pragma once
/// What others may know of the watch: the log, open pages, the broker, and (past a store that fails) the
/// phone.

#include <functional>
#include <map>
#include <set>
#include <string>

#include "daemon/app/deliveries.hpp"
#include "daemon/config/config.hpp"
#include "daemon/mqtt/source.hpp"
#include "daemon/pipeline/listener.hpp"
#include "daemon/web/event.hpp"

namespace gyled::app {

struct AnnouncerParameters {
    base::Duration states_every = std::chrono::seconds{30};  ///< of each vessel, to the broker
    std::uint64_t rejects_logged_every = 100;  ///< after the first of its kind: a chattering sensor must not
                                               ///< flood the log
    std::size_t reject_kinds_max = 2'000;      ///< kinds counted for the log; then it begins anew
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
    void announce(const alarms::Transition& transition);
    void publish_states(const cellar::Cellar& core);

    const config::Config& config_;
    mqtt::Source& broker_;
    Deliveries& deliveries_;
    TellPages tell_pages_;
    AnnouncerParameters parameters_;
    std::optional<base::Timestamp> last_reading_, states_at_;
    std::set<std::string> changed_;                      ///< ids of vessels, since the last round
    std::map<std::string, std::uint64_t> rejects_seen_;  ///< by topic and reason
    bool disconnection_logged_ = false;
    std::string store_problem_;
};

}  // namespace gyled::app
