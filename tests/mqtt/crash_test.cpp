/// A subscriber that is killed again and again loses nothing that the broker believes delivered.

#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>

#include <filesystem>
#include <fstream>
#include <random>
#include <thread>

#include "tests/mqtt/listening.hpp"

extern char** environ;

namespace gyled::mqtt {
namespace {

pid_t start_victim(std::string url, std::string spool, std::string journal) {
    std::string program = MQTT_VICTIM;
    const std::array<char*, 5> arguments{program.data(), url.data(), spool.data(), journal.data(), nullptr};
    pid_t process = -1;
    if (::posix_spawn(&process, program.c_str(), nullptr, nullptr, arguments.data(), environ) != 0) return -1;
    return process;
}

TEST(Crash, KilledTenTimesLosesNothingItAcknowledged) {
    constexpr int readings = 40'000, kills = 10;
    Broker broker;
    broker.start();
    TemporaryFolder folder;
    const std::string spool = folder / "spool", journal = folder / "journal";
    {  // Make the session, so that the broker keeps what the victim misses.
        Settings settings = settings_for(broker);
        settings.client_id = "victim";
        Listening first{settings};
        first.source->start();
        MqttPeer sensor{broker.url(), "hello"};
        ASSERT_TRUE(eventually([&] {
            sensor.publish("cellar/hello", "hello");
            return first.take_until([&] { return !first.messages.empty(); }, 50ms);
        }));
    }

    std::mt19937 dice{4711};
    const auto journal_size = [&] {
        return std::filesystem::exists(journal) ? std::filesystem::file_size(journal) : 0;
    };
    for (int killed = 0; killed < kills; ++killed) {
        // A life: readings arrive, something is committed, and a little later death comes, so that something
        // is not.
        std::vector<std::string> said;
        for (int i = 0; i < readings / kills; ++i)
            said.push_back(std::to_string(killed * readings / kills + i));
        std::thread sensor{[&] { broker.publish_from_outside("cellar/north/gravity", said); }};
        const auto committed_before = journal_size();
        const pid_t victim = start_victim(broker.url(), spool, journal);
        const bool committed = eventually([&] { return journal_size() > committed_before; }, 30s);
        std::this_thread::sleep_for(std::chrono::milliseconds{std::uniform_int_distribution{0, 60}(dice)});
        if (victim > 0) {
            ::kill(victim, SIGKILL);
            ::waitpid(victim, nullptr, 0);
        }
        sensor.join();
        ASSERT_TRUE(victim > 0 && committed)
            << "death " << killed + 1 << " came to nobody, or proved nothing";
    }

    std::set<std::string> known;
    std::size_t journalled = 0;
    {
        std::ifstream file{journal};
        for (std::string line; std::getline(file, line); ++journalled) known.insert(line);
    }
    Settings settings = settings_for(broker);
    settings.client_id = "victim";
    settings.spool = spool;
    Listening last{settings};
    last.source->start();
    const auto all_known = [&] {
        for (const std::string& payload : last.payloads()) known.insert(payload);
        known.erase("hello");
        return known.size() == readings;
    };
    EXPECT_TRUE(last.take_until(all_known, 60s)) << known.size() << " of " << readings << " readings known";

    const Figures figures = last.source->figures();
    std::cout << "journalled " << journalled << ", from the spool " << figures.replayed << ", in all "
              << journalled + last.messages.size() << " for " << readings << " readings\n";
}

}  // namespace
}  // namespace gyled::mqtt
