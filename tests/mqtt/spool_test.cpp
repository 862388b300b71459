/// The spool and the inbox alone, without a broker.

#include "daemon/mqtt/spool.hpp"

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <fstream>
#include <random>
#include <thread>

#include "daemon/mqtt/inbox.hpp"
#include "tests/support/broker.hpp"
#include "tests/support/eventually.hpp"

namespace gyled::mqtt {
namespace {

namespace fs = std::filesystem;
using testing::eventually;
using testing::TemporaryFolder;

Message reading(std::string payload) {
    return {"cellar/north/gravity", std::move(payload), Timestamp{Duration{1'772'366'400'123}}, false};
}

std::vector<std::string> payloads(const std::vector<Message>& messages) {
    std::vector<std::string> out;
    for (const Message& message : messages) out.push_back(message.payload);
    return out;
}
using Payloads = std::vector<std::string>;

/// The segments in the folder, without the lock.
std::vector<fs::path> segments(const TemporaryFolder& folder) {
    std::vector<fs::path> out;
    for (const auto& entry : fs::directory_iterator{folder.path()})
        if (const auto kind = entry.path().extension(); kind != ".lock" && kind != ".packets")
            out.push_back(entry.path());
    std::ranges::sort(out);
    return out;
}

TEST(Spool, GivesBackEveryFieldAfterACrash) {
    TemporaryFolder folder;
    std::string every_byte;
    for (int i = 0; i < 256; ++i) every_byte += static_cast<char>(i);
    {
        Spool spool{folder / "spool"};
        ASSERT_EQ(spool.append(1, {"a/b", every_byte, Timestamp{Duration{-5}}, true}), std::nullopt);
        ASSERT_EQ(spool.append(2, {"", "", Timestamp{Duration{1'772'366'400'123}}, false}), std::nullopt);
    }

    Spool again{folder / "spool"};
    const std::vector<Message> left = again.take_left_over();

    ASSERT_EQ(left.size(), 2U);
    EXPECT_EQ(left[0].topic, "a/b");
    EXPECT_EQ(left[0].payload, every_byte);
    EXPECT_EQ(left[0].arrived, Timestamp{Duration{-5}});
    EXPECT_TRUE(left[0].retained);
    EXPECT_EQ(left[1].topic, "");
    EXPECT_EQ(left[1].arrived, Timestamp{Duration{1'772'366'400'123}});
    EXPECT_FALSE(left[1].retained);
    EXPECT_EQ(again.torn_bytes(), 0U);
}

TEST(Spool, ForgetsOnlyWhatIsReleased) {
    TemporaryFolder folder;
    {
        Spool spool{folder / "spool"};
        for (std::uint64_t i = 1; i <= 10; ++i) ASSERT_FALSE(spool.append(i, reading(std::to_string(i))));
        spool.release(4);
        for (std::uint64_t i = 11; i <= 12; ++i) ASSERT_FALSE(spool.append(i, reading(std::to_string(i))));
        spool.release(10);
    }
    EXPECT_EQ(payloads(Spool{folder / "spool"}.take_left_over()), (Payloads{"11", "12"}));
}

TEST(Spool, LeavesNothingBehindWhenAllIsReleased) {
    TemporaryFolder folder;
    {
        Spool spool{folder / "spool"};
        for (std::uint64_t i = 1; i <= 1000; ++i) {
            ASSERT_FALSE(spool.append(i, reading(std::to_string(i))));
            if (i % 7 == 0) spool.release(i - 3);
        }
        EXPECT_LE(segments(folder).size(), 2U) << "segments do not pile up";
        spool.release(1000);
    }
    EXPECT_TRUE(segments(folder).empty());
}

TEST(Spool, AnEarlierRunsRestSurvivesASecondCrash) {
    TemporaryFolder folder;
    {
        Spool spool{folder / "spool"};
        ASSERT_FALSE(spool.append(1, reading("first run")));
    }
    {
        Spool spool{folder / "spool"};  // replays, and dies before anything is committed
        ASSERT_FALSE(spool.append(2, reading("second run")));
    }
    Spool spool{folder / "spool"};
    EXPECT_EQ(payloads(spool.take_left_over()), (Payloads{"first run", "second run"}));
    spool.release(2);
    EXPECT_EQ(segments(folder).size(), 1U) << "only the new, empty segment";
}

/// Where the file ends, and what the last bytes are, is up to the crash.
TEST(Spool, ATornTailCostsNothingButTheTornRecord) {
    TemporaryFolder folder;
    const std::string name = folder / "spool";
    {
        Spool spool{name};
        for (std::uint64_t i = 1; i <= 3; ++i) ASSERT_FALSE(spool.append(i, reading(std::to_string(i))));
    }
    ASSERT_EQ(segments(folder).size(), 1U);
    const auto segment = segments(folder)[0];
    const auto whole = fs::file_size(segment);
    const auto record = whole / 3;
    std::string content(whole, '\0');
    std::ifstream{segment, std::ios::binary}.read(content.data(), static_cast<std::streamsize>(whole));

    for (std::size_t length = 0; length <= whole; ++length) {
        for (const auto& file : segments(folder)) fs::remove(file);
        std::ofstream{segment, std::ios::binary}.write(content.data(), static_cast<std::streamsize>(length));
        Spool spool{name};
        EXPECT_EQ(spool.take_left_over().size(), length / record) << length;
        EXPECT_EQ(spool.torn_bytes(), length % record) << length;
    }
}

TEST(Spool, SurvivesAnyBytesInItsFiles) {
    std::mt19937 dice{20260301};
    for (int round = 0; round < 300; ++round) {
        TemporaryFolder folder;
        const std::string name = folder / "spool";
        {
            Spool spool{name};
            for (std::uint64_t i = 1; i <= 5; ++i) ASSERT_FALSE(spool.append(i, reading(std::to_string(i))));
        }
        {
            std::fstream file{segments(folder)[0], std::ios::binary | std::ios::in | std::ios::out};
            const auto size = static_cast<int>(fs::file_size(segments(folder)[0]));
            for (int hit = 0; hit < 1 + round % 4; ++hit) {
                file.seekp(std::uniform_int_distribution{0, size - 1}(dice));
                file.put(static_cast<char>(std::uniform_int_distribution{0, 255}(dice)));
            }
        }
        Spool spool{name};
        const std::vector<Message> left = spool.take_left_over();
        ASSERT_LE(left.size(), 5U);
        for (std::size_t i = 0; i < left.size(); ++i)
            ASSERT_EQ(left[i].payload, std::to_string(i + 1))
                << "a damaged record was believed, round " << round;
    }
}

TEST(Spool, AZeroedTailIsNotARecord) {
    TemporaryFolder folder;
    std::ofstream{folder / "spool.1", std::ios::binary} << std::string(4096, '\0');
    Spool spool{folder / "spool"};
    EXPECT_TRUE(spool.take_left_over().empty());
    EXPECT_EQ(spool.torn_bytes(), 4096U);
}

TEST(Spool, BelongsToOneProcess) {
    TemporaryFolder folder;
    const Spool spool{folder / "spool"};
    EXPECT_THROW(Spool{folder / "spool"}, std::runtime_error);
}

TEST(Spool, AFolderThatIsNotThereIsSaidAtOnce) {
    EXPECT_THROW(Spool{"/nowhere at all/spool"}, std::runtime_error);
}

TEST(Spool, StrangersInTheFolderAreLeftAlone) {
    TemporaryFolder folder;
    for (const char* const name : {"spool.txt", "spool.1x", "spool.", "spool.-1", "other.1", "gyled.db"})
        std::ofstream{folder / name} << "mine";
    { Spool spool{folder / "spool"}; }
    EXPECT_EQ(segments(folder).size(), 6U);
}

/// In a child, because the limit on file sizes holds for the whole process.
TEST(Spool, AFullDiskIsToldAndLeavesNoHalfRecord) {
    TemporaryFolder folder;
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
        std::signal(SIGXFSZ, SIG_IGN);
        const rlimit tight{1000, 1000};
        ::setrlimit(RLIMIT_FSIZE, &tight);
        Spool spool{folder / "spool"};
        int fine = 0, failed = 0;
        for (std::uint64_t i = 1; i <= 40; ++i)
            ++(spool.append(i, reading(std::to_string(i))) ? failed : fine);
        spool.release(40);
        const bool works_again = !spool.append(41, reading("after"));
        ::_exit(fine > 5 && failed > 5 && works_again ? 0 : 1);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    ASSERT_TRUE(WIFEXITED(status));
    EXPECT_EQ(WEXITSTATUS(status), 0);
    EXPECT_EQ(payloads(Spool{folder / "spool"}.take_left_over()), Payloads{"after"});
}

TEST(Inbox, WakesOnlyWhenThereWasNothingBefore) {
    int rings = 0;
    Inbox inbox{Settings{}, [&] { ++rings; }};

    inbox.put(reading("1"));
    inbox.put(reading("2"));
    inbox.note({ConnectionEvent::Kind::connected, "", {}});
    EXPECT_EQ(rings, 1);

    EXPECT_EQ(inbox.drain(100).messages.size(), 2U);
    EXPECT_EQ(inbox.take_events().size(), 1U);
    inbox.put(reading("3"));
    EXPECT_EQ(rings, 2);
}

TEST(Inbox, DrainsInOrderAndSaysWhenThereIsMore) {
    Inbox inbox{Settings{}, [] {}};
    for (int i = 1; i <= 5; ++i) inbox.put(reading(std::to_string(i)));

    const MessageGroup first = inbox.drain(3), second = inbox.drain(3), third = inbox.drain(3);

    EXPECT_EQ(payloads(first.messages), (Payloads{"1", "2", "3"}));
    EXPECT_TRUE(first.more);
    EXPECT_EQ(payloads(second.messages), (Payloads{"4", "5"}));
    EXPECT_FALSE(second.more);
    EXPECT_TRUE(third.messages.empty());
    EXPECT_LT(first.id, second.id);
    EXPECT_EQ(second.id, third.id);
}

TEST(Inbox, WhatWasDrainedButNotReleasedComesBackFirstAfterACrash) {
    TemporaryFolder folder;
    Settings settings;
    settings.spool = folder / "spool";
    {
        Inbox inbox{settings, [] {}};
        for (int i = 1; i <= 4; ++i) inbox.put(reading(std::to_string(i)));
        const MessageGroup committed = inbox.drain(2);
        const MessageGroup lost_with_the_process = inbox.drain(1);
        EXPECT_EQ(lost_with_the_process.messages.size(), 1U);
        inbox.release(committed.id);
        inbox.put(reading("5"));
    }
    Inbox inbox{settings, [] {}};
    EXPECT_EQ(inbox.figures().replayed, 5U);
    inbox.put(reading("6"));
    const MessageGroup batch = inbox.drain(100);
    // 1 and 2 shared a segment with 3 and 4, so they come twice; the store's key absorbs them.
    EXPECT_EQ(payloads(batch.messages), (Payloads{"1", "2", "3", "4", "5", "6"}));

    inbox.release(batch.id);
    EXPECT_EQ(segments(folder).size(), 1U);
    EXPECT_EQ(fs::file_size(segments(folder)[0]), 0U);
}

TEST(Inbox, AFullQueueHoldsTheCallerUntilThereIsRoom) {
    Settings settings;
    settings.queue_bound = 2;
    Inbox inbox{settings, [] {}};
    std::thread paho{[&] {
        for (int i = 0; i < 1000; ++i) inbox.put(reading(std::to_string(i)));
    }};

    Payloads all;
    const bool complete = eventually([&] {
        EXPECT_LE(inbox.figures().queue_depth, 2U);
        for (const std::string& payload : payloads(inbox.drain(100).messages)) all.push_back(payload);
        return all.size() >= 1000;
    });
    paho.join();

    ASSERT_TRUE(complete);
    for (std::size_t i = 0; i < all.size(); ++i) ASSERT_EQ(all[i], std::to_string(i));
}

TEST(Inbox, NobodyWaitsAtTheEnd) {
    Settings settings;
    settings.queue_bound = 1;
    Inbox inbox{settings, [] {}};
    std::thread paho{[&] {
        for (int i = 0; i < 10; ++i) inbox.put(reading(std::to_string(i)));
    }};
    EXPECT_TRUE(eventually([&] { return inbox.figures().waited > 0; }));

    inbox.stop_waiting();
    paho.join();

    EXPECT_EQ(inbox.drain(100).messages.size(), 10U);
}

}  // namespace
}  // namespace gyled::mqtt
