/// gyle import: the past into the running daemon. It rings nobody, and may be said twice: what is stored is
/// known by its sensor and its time.

#include <fmt/format.h>
#include <fmt/ostream.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <map>
#include <memory>
#include <ostream>
#include <set>
#include <stdexcept>

#include "daemon/cli/connection.hpp"
#include "daemon/cli/history_file.hpp"

namespace gyled::cli {
namespace {

/// Below the daemon's limit of 256 KiB for what is sent at once.
constexpr std::size_t readings_at_once = 2'000;
/// The last group makes belief of a running batch anew.
constexpr auto patience = std::chrono::minutes{2};
constexpr int bar_width = 24;

/// What was read, and what became of it.
struct Tally {
    std::uint64_t lines = 0, bad = 0, stored = 0, known = 0, too_young = 0;
};

/// A line that is written over, on a terminal; nothing elsewhere.
class Progress {
public:
    explicit Progress(std::ostream& talk) : talk_{talk}, is_shown_{::isatty(STDERR_FILENO) == 1} {}
    void show(const Tally& tally, std::optional<double> share) {
        if (!is_shown_) return;
        const int full = static_cast<int>(share.value_or(0) * bar_width);
        fmt::print(talk_, "\r[{:=<{}}{: <{}}] {} lines, {} new", "", full, "", bar_width - full, tally.lines,
                   tally.stored);
        talk_.flush();
        is_open_ = true;
    }
    void close() {
        if (is_open_) fmt::print(talk_, "\n");
        is_open_ = false;
    }

private:
    std::ostream& talk_;
    bool is_shown_, is_open_ = false;
};

/// Readings that go to the daemon together, by vessel.
class Group {
public:
    void add(const sensors::Reading& reading) {
        rows_[reading.vessel][{reading.sensor, reading.quantity}].push_back(
            {reading.at.time_since_epoch().count(), reading.value});
        ++size_;
    }
    [[nodiscard]] std::size_t size() const { return size_; }
    [[nodiscard]] std::vector<std::string> vessels() const {
        std::vector<std::string> out;
        for (const auto& [vessel, series] : rows_) out.push_back(vessel);
        return out;
    }
    [[nodiscard]] std::string body(const std::string& vessel, bool is_last) const {
        Json out{{"series", Json::array()}, {"last", is_last}};
        const auto found = rows_.find(vessel);
        if (found != rows_.end())
            for (const auto& [key, rows] : found->second)
                out["series"].push_back(
                    {{"sensor", key.first}, {"quantity", base::name(key.second)}, {"rows", rows}});
        return out.dump();
    }

private:
    using Row = std::pair<std::int64_t, double>;
    std::map<std::string, std::map<std::pair<std::string, base::Quantity>, std::vector<Row>>> rows_;
    std::size_t size_ = 0;
};

/// How much of what, and from when to when.
class Survey {
public:
    void add(const sensors::Reading& r) {
        auto& seen = seen_[{r.vessel, r.quantity}];
        if (seen.count++ == 0) seen.first = seen.last = r.at;
        seen.first = std::min(seen.first, r.at);
        seen.last = std::max(seen.last, r.at);
    }
    void print(std::ostream& out) const {
        for (const auto& [key, seen] : seen_)
            fmt::print(out, "{:<12} {:<22} {:>9}   {} to {}\n", key.first, base::name(key.second), seen.count,
                       base::to_rfc3339(seen.first), base::to_rfc3339(seen.last));
    }

private:
    struct Seen {
        std::uint64_t count = 0;
        base::Timestamp first, last;
    };
    std::map<std::pair<std::string, base::Quantity>, Seen> seen_;
};

class Import {
public:
    Connection daemon;
    std::string path, vessel, sensor = "import";
    std::uint64_t from_line = 0;
    bool dry_run = false;

    [[nodiscard]] int run(Terminal to) const try {
        std::optional<config::Config> config;
        if (!daemon.config_path.empty()) {
            auto loaded = config::load_config(daemon.config_path);
            if (!loaded) {
                say(to.talk, loaded.error());
                return wrong_usage;
            }
            config = std::move(loaded).value();
        }
        HistoryFile file{path, {vessel, sensor, config ? &*config : nullptr}};
        return dry_run ? survey(file, to) : send(file, to);
    } catch (const std::runtime_error& problem) {
        fmt::print(to.talk, "gyle: {}\n", problem.what());
        return failed;
    }

private:
    /// The next line that gave readings; the bad ones before it are named.
    [[nodiscard]] std::optional<HistoryLine> next(HistoryFile& file, Tally& tally, Progress& progress,
                                                  std::ostream& talk) const {
        while (auto line = file.next()) {
            ++tally.lines;
            if (!line->complaint.empty()) {
                ++tally.bad;
                progress.close();
                fmt::print(talk, "gyle: line {}: {}\n", line->number, line->complaint);
            }
            if (line->number >= from_line && !line->readings.empty()) return line;
        }
        return std::nullopt;
    }

    [[nodiscard]] int survey(HistoryFile& file, Terminal to) const {
        Tally tally;
        Survey survey;
        Progress progress{to.talk};
        while (const auto line = next(file, tally, progress, to.talk))
            for (const sensors::Reading& reading : line->readings) survey.add(reading);
        survey.print(to.out);
        fmt::print(to.talk, "{} lines, {} of them bad. Nothing was sent.\n", tally.lines, tally.bad);
        return tally.bad == 0 ? done : failed;
    }

    [[nodiscard]] int send(HistoryFile& file, Terminal to) const {
        Tally tally;
        Progress progress{to.talk};
        std::set<std::string> vessels;
        std::uint64_t sent_until = 0;
        for (bool more = true; more;) {
            Group group;
            std::uint64_t until = sent_until;
            while (more && group.size() < readings_at_once) {
                const auto line = next(file, tally, progress, to.talk);
                more = line.has_value();
                if (!line) break;
                until = line->number;
                for (const sensors::Reading& reading : line->readings) group.add(reading);
            }
            for (const std::string& one : group.vessels()) vessels.insert(one);
            if (!send(group, group.vessels(), false, tally, to.talk))
                return interrupted(sent_until, progress, to);
            sent_until = until;
            progress.show(tally, file.share_read());
        }
        progress.close();
        if (!send({}, {vessels.begin(), vessels.end()}, true, tally, to.talk))
            return interrupted(sent_until, progress, to);
        fmt::print(to.talk,
                   "{} new readings, {} known already, {} younger than an hour left to the broker; {} lines, "
                   "{} bad.\n",
                   tally.stored, tally.known, tally.too_young, tally.lines, tally.bad);
        return tally.bad == 0 ? done : failed;
    }

    [[nodiscard]] bool send(const Group& group, const std::vector<std::string>& vessels, bool is_last,
                            Tally& tally, std::ostream& talk) const {
        for (const std::string& one : vessels) {
            const auto answer = daemon.ask({.method = "POST",
                                            .target = vessel_target(one, "/readings"),
                                            .body = group.body(one, is_last),
                                            .timeout = patience},
                                           talk);
            if (!answer) return false;
            tally.stored += answer->value("stored", std::uint64_t{0});
            tally.known += answer->value("known", std::uint64_t{0});
            tally.too_young += answer->value("too_young", std::uint64_t{0});
        }
        return true;
    }

    [[nodiscard]] static int interrupted(std::uint64_t sent_until, Progress& progress, Terminal to) {
        progress.close();
        fmt::print(
            to.talk,
            "gyle: stopped behind line {}. Say the same again to go on: what is stored is known, and with "
            "--from-line {} not even sent.\n",
            sent_until, sent_until + 1);
        return failed;
    }
};

}  // namespace

void add_import(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("import", "the past, from a table or a recorded log; it rings nobody");
    auto options = std::make_shared<Import>();
    options->daemon.add_place(*verb);
    verb->add_option("file", options->path,
                     "a table (CSV), or a log: UNIX_SECONDS TOPIC PAYLOAD; gzipped or not")
        ->required();
    verb->add_option("--vessel", options->vessel, "of a table without that column");
    verb->add_option("--sensor", options->sensor, "of a table without that column")->capture_default_str();
    verb->add_option("--from-line", options->from_line, "go on there");
    verb->add_flag("--dry-run", options->dry_run, "only say what is in it");
    verb->footer(
        "A table names its columns in its first line: time, quantity, value; vessel, sensor, unit where "
        "needed.\n"
        "A value without a unit is in yours. Each bad line is named, the others are taken; then the exit "
        "code is 1.\n"
        "What is younger than an hour is left to the broker. Say the same again after an interruption: what "
        "is\n"
        "stored already, by sensor and time, stays as it is.");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
