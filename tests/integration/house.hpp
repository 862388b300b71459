#pragma once
/// A whole house for a test: broker, daemon, a receiver for messages, and the words to ask and tell it.

#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "daemon/base/time.hpp"
#include "tests/integration/daemon.hpp"
#include "tests/notify/receiver.hpp"
#include "tests/support/broker.hpp"

namespace gyled::integration {

using Json = nlohmann::json;

class House {
public:
    /// `more_configuration` stands behind the house's own, in the same file.
    explicit House(const std::string& more_configuration = {});

    /// Before the daemon is started: in gyled.toml, the first `from` becomes `to`. Throws when there is none.
    void edit_config(const std::string& from, const std::string& to) const;
    /// Before the daemon is started: as many gravity readings as the spool holds, each with a note of that
    /// length, as an earlier run that died might have left them. How many these are.
    [[nodiscard]] std::size_t fill_spool(std::size_t note_bytes) const;
    /// Returns when it answers on its socket. `wrapper`: a program with its options that runs it.
    void start_daemon(std::vector<std::string> wrapper = {});
    [[nodiscard]] pid_t daemon_pid() const { return daemon_->pid(); }
    /// Returns when the broker keeps for us what sensors say: at a first start nothing before that moment is
    /// ours.
    void await_subscription() const;
    void kill_daemon();  ///< kill -9
    int stop_daemon();   ///< SIGTERM; its exit code, -1 when it did not end in ten seconds
    [[nodiscard]] bool daemon_lives() { return daemon_ && daemon_->running(); }
    [[nodiscard]] std::string daemon_log() const {
        return daemon_ ? daemon_->output() + last_trouble_ : std::string{};
    }

    /// The answer's JSON; null when there was none.
    [[nodiscard]] Json get(const std::string& target) const;
    /// The text of an impairment of that name in /health; empty when it does not stand.
    [[nodiscard]] std::string impairment(const std::string& name) const;
    [[nodiscard]] bool phone_heard(const std::string& words) const;
    Ran gyle(std::vector<std::string> words) const;
    /// Starts a batch in north, fermenting, vented, since then.
    void start_batch(base::Timestamp since);

    /// Rows of dash_reading of this quantity.
    [[nodiscard]] std::size_t stored(const std::string& quantity, const std::string& file = "gyled.db") const;
    [[nodiscard]] std::string database() const { return folder_ / "gyled.db"; }
    [[nodiscard]] std::string path(const std::string& name) const { return folder_ / name; }

    testing::Broker broker;
    notify::Receiver phone;

private:
    testing::TemporaryFolder folder_;
    std::unique_ptr<Daemon> daemon_;
    mutable std::string last_trouble_;  ///< why the last question had no answer
};

/// {"sg":1.0213,"ts":"2026-03-02T07:15:00Z"}
[[nodiscard]] std::string document(const std::string& field, double value, base::Timestamp at);
[[nodiscard]] base::Timestamp wall_clock();

}  // namespace gyled::integration
