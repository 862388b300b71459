#pragma once
/// gyled.toml as values. Every mistake is reported at once, with file:line:column.

#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/tuning.hpp"
#include "daemon/annunciation/quiet_hours.hpp"
#include "daemon/base/result.hpp"
#include "daemon/batch/plan.hpp"
#include "daemon/display/display.hpp"
#include "sensors/spec.hpp"

namespace gyled::config {

/// A secret is never written in the main file: it is named. `read_secret` opens it.
struct Secret {
    std::string credential;  ///< file `secret_<name>` or `<name>` in $CREDENTIALS_DIRECTORY
    std::string file;        ///< a path; refused when group or others may read it
    [[nodiscard]] bool given() const { return !credential.empty() || !file.empty(); }
};

struct BrokerTls {
    std::string ca_file, certificate_file, key_file;
};

/// Which version of MQTT to speak; automatic: 5, and 3.1.1 with a broker that does not know it.
enum class BrokerProtocol : std::uint8_t { automatic, mqtt_5, mqtt_3_1_1 };

struct Broker {
    std::string url = "mqtt://127.0.0.1:1883";  ///< mqtt:// or mqtts://
    BrokerProtocol protocol = BrokerProtocol::automatic;
    std::string client_id = "gyled";  ///< fixed: the broker keeps our session under this name
    std::string user;
    Secret password;
    std::optional<BrokerTls> tls;
    base::Duration session_expiry = std::chrono::hours{24 * 7};
    std::string publish_prefix = "gyled";  ///< <prefix>/status (last will), <prefix>/<vessel>/state
};

struct Site {
    std::string name;
    double elevation_m = 0;
    std::optional<double> room_m3;  ///< of the room that the vessels stand in, unless one says otherwise
    display::Display display;       ///< time zone and units
};

struct Storage {
    std::string path = "gyled.db";
    base::Duration commit_every = std::chrono::seconds{10};
    std::string spool;   ///< path of the spool file; empty: beside the database
    int spool_mib = 64;  ///< the most it may take, MiB
    int keep_raw_days = 730;
};

struct Messenger {
    enum class Kind { push, webhook, mail, mqtt } kind = Kind::push;
    std::string name;   ///< unique
    std::string url;    ///< push: the relay's root; webhook: where to
    std::string topic;  ///< push, mqtt
    Secret token;       ///< push: bearer token; webhook: for {{token}} in headers
    alarms::Priority at_least = alarms::Priority::low;
    std::optional<annunciation::QuietHours> quiet;  ///< by the site's clock
    base::Duration critical_after{};                ///< zero: hears at once
    // webhook
    std::string method = "POST";
    std::string content_type = "application/json";
    std::vector<std::pair<std::string, std::string>> headers;
    std::string body;  ///< template: {{title}} {{text}} {{priority}} {{kind}} {{vessel}} {{rule}} {{id}}
                       ///< {{time}}; JSON-escaped when the type is JSON
    std::string expected_answer;  ///< text that the answer must contain; empty: any 2xx but a web page
    std::string click_url;        ///< push: where a tap leads
    base::Duration timeout = std::chrono::seconds{15};
};

struct Web {
    std::string listen = "127.0.0.1:8075";  ///< empty: no TCP
    std::string socket = "gyled.sock";      ///< Unix socket for `gyle`
    std::vector<std::string> host_names;    ///< further names to answer to over TCP: a reverse proxy's
    Secret write_token;                     ///< writes over TCP need it; none given: no writes over TCP
};

/// One thing wrong, where, and the remedy when we can guess it ("did you mean 'volume_l'?").
struct Mistake {
    std::string file;
    std::size_t line = 0, column = 0;  ///< from 1; 0 when the file as a whole is meant
    std::string what;
    std::string excerpt;      ///< the line and a caret under the place; may be empty
    bool is_warning = false;  ///< for the person to weigh: the file is taken all the same
    /// "gyled.toml:7:1: error: unknown key 'volum_l'; did you mean 'volume_l'?"
    [[nodiscard]] std::string text() const;
};
using Mistakes = std::vector<Mistake>;
/// Is there one for which the file is refused?
[[nodiscard]] bool has_error(const Mistakes& mistakes);

struct Config {
    std::string file;
    Broker broker;
    Site site;
    Storage storage;
    std::vector<batch::VesselSpec> vessels;
    std::vector<sensors::SensorSpec> sensors;
    std::vector<alarms::RuleTuning> alarms;
    std::vector<Messenger> messengers;
    Web web;
    Mistakes warnings;  ///< what is taken, but ought to be looked at
};

/// Reads and checks the whole file. Relative paths inside it are relative to the file's own folder.
[[nodiscard]] base::Result<Config, Mistakes> load_config(const std::string& path);
/// The same, and whatever the file names that is missing is a mistake, too: a credential, a certificate. For
/// the person who checks; the daemon itself starts without what it can do without. Credentials are looked for
/// where the service manager put them ($CREDENTIALS_DIRECTORY) or takes them from (the folder "secrets"
/// beside the file).
[[nodiscard]] base::Result<Config, Mistakes> check_config(const std::string& path);
/// The same on text, for tests and fuzzing; `file` is only a name, and nothing that it names is looked at.
[[nodiscard]] base::Result<Config, Mistakes> parse_config(std::string_view text, const std::string& file);
/// A batch file (the same for live and replay). Vessel ids are not checked here.
[[nodiscard]] base::Result<batch::Plan, Mistakes> load_batch(const std::string& path);
[[nodiscard]] base::Result<batch::Plan, Mistakes> parse_batch(std::string_view text, const std::string& file);
/// A batch file against the vessel of `config` that it is for: its mistakes, and in the same way what of the
/// plan that vessel does not bear (batch/plate_check.hpp). What is doubtful comes as a warning.
[[nodiscard]] Mistakes check_batch(const std::string& path, const Config& config);
[[nodiscard]] Mistakes check_batch_text(std::string_view text, const std::string& file, const Config& config);
/// The secret's text without a trailing newline, or why it cannot be had.
[[nodiscard]] base::Result<std::string, std::string> read_secret(const Secret& secret);

}  // namespace gyled::config
