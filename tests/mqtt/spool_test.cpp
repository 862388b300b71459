/// The spool and the inbox alone, without a broker.

#include "daemon/mqtt/spool.hpp"

#include <gmock/gmock.h>
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

constexpr Timestamp noon{Duration{1'772'366'400'000}};

Message reading(std::string payload) {
    return {"cellar/north/gravity", std::move(payload), Timestamp{Duration{1'772'366'400'123}}, false};
}

std::vector<std::string> payloads(const std::vector<Message>& messages) {
    std::vector<std::string> out;
    for (const Message& message : messages) out.push_back(message.payload);
    return out;
}
using Payloads = std::vector<std::string>;

/// All that earlier runs left, in one go.
std::vector<Message> all_left_over(Spool& spool) {
    return spool.take_left_over(1'000'000, 1'000'000'000).messages;
}
std::vector<Message> all_left_over(Spool&& spool) {
    return all_left_over(spool);
}

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
    const std::vector<Message> left = all_left_over(again);

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

TEST(Spool, AnArrivalStampedWhileNobodyKnewTheTimeIsLostForTheNextRun) {
    TemporaryFolder folder;
    bool is_set = false;
    Settings settings;
    settings.spool = folder / "spool";
    settings.clock_is_set = [&] { return is_set; };
    {
        Inbox inbox{settings, noon, [] {}};
        inbox.put(reading("1.050"));
        is_set = true;
        inbox.put(reading("1.049"));
        const auto drained = inbox.drain(10).messages;
        ASSERT_EQ(drained.size(), 2U);
        EXPECT_EQ(drained[0].stamp, sensors::Stamp::provisional);
        EXPECT_EQ(drained[1].stamp, sensors::Stamp::right);
    }

    Inbox again{settings, noon, [] {}};
    const auto left = again.drain(10).messages;
    ASSERT_EQ(left.size(), 2U);
    EXPECT_EQ(left[0].stamp, sensors::Stamp::lost);
    EXPECT_EQ(left[1].stamp, sensors::Stamp::right);
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
    EXPECT_EQ(payloads(all_left_over(Spool{folder / "spool"})), (Payloads{"11", "12"}));
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
    EXPECT_EQ(payloads(all_left_over(spool)), (Payloads{"first run", "second run"}));
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
        EXPECT_EQ(all_left_over(spool).size(), length / record) << length;
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
        const std::vector<Message> left = all_left_over(spool);
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
    EXPECT_TRUE(all_left_over(spool).empty());
    EXPECT_EQ(spool.torn_bytes(), 4096U);
}

/// Old segments are given back one by one: a process that dies again and again gets on nevertheless.
TEST(Spool, WhatEarlierRunsLeftIsTakenPieceByPiece) {
    TemporaryFolder folder;
    const SpoolLimits small{.bytes = 100'000, .segment_bytes = 500};
    {
        Spool spool{folder / "spool", small};
        for (std::uint64_t i = 1; i <= 100; ++i) ASSERT_FALSE(spool.append(i, reading(std::to_string(i))));
    }
    const std::size_t files = segments(folder).size();
    ASSERT_GT(files, 5U);

    Spool spool{folder / "spool", small};
    EXPECT_EQ(spool.left_over(), 100U);
    const Spool::Taken first = spool.take_left_over(30, 1'000'000);
    EXPECT_EQ(payloads(first.messages).front(), "1");
    EXPECT_EQ(first.messages.size(), 30U);
    EXPECT_EQ(first.sequence_last, 30U);
    EXPECT_TRUE(first.more);
    spool.release(first.sequence_last);
    EXPECT_LT(segments(folder).size(), files) << "what is committed goes, before all is read";

    const Spool::Taken second = spool.take_left_over(1000, 100);
    EXPECT_LT(second.messages.size(), 5U) << "as many as have 100 bytes together";
    const Spool::Taken rest = spool.take_left_over(1000, 1'000'000);
    EXPECT_EQ(payloads(rest.messages).back(), "100");
    EXPECT_EQ(rest.sequence_last, 100U);
    EXPECT_FALSE(rest.more);
}

TEST(Spool, AFileThatShrinksWhileItIsReadCostsOnlyWhatItLacks) {
    TemporaryFolder folder;
    const SpoolLimits small{.bytes = 100'000, .segment_bytes = 500};
    {
        Spool spool{folder / "spool", small};
        for (std::uint64_t i = 1; i <= 40; ++i) ASSERT_FALSE(spool.append(i, reading(std::to_string(i))));
    }
    Spool spool{folder / "spool", small};
    fs::resize_file(segments(folder)[0], 0);

    const Spool::Taken all = spool.take_left_over(1000, 1'000'000);

    EXPECT_LT(all.messages.size(), 40U);
    EXPECT_EQ(all.messages.back().payload, "40");
    EXPECT_EQ(all.sequence_last, 40U);
    EXPECT_FALSE(all.more);
}

TEST(Spool, IsBoundedInBytesAndHasRoomAgainWhenSomethingIsCommitted) {
    TemporaryFolder folder;
    const SpoolLimits small{.bytes = 2'000, .segment_bytes = 500};
    Spool spool{folder / "spool", small};
    std::uint64_t sequence = 0;
    std::optional<std::string> problem;
    while (!problem && sequence < 1000) problem = spool.append(++sequence, reading("19.4"));

    ASSERT_TRUE(problem);
    EXPECT_NE(problem->find("is full"), std::string::npos);
    std::uintmax_t on_disk = 0;
    for (const auto& file : segments(folder)) on_disk += fs::file_size(file);
    EXPECT_LE(on_disk, small.bytes);

    spool.release(sequence / 2);
    EXPECT_FALSE(spool.append(++sequence, reading("19.5")));
}

TEST(Spool, BelongsToOneProcess) {
    TemporaryFolder folder;
    const Spool spool{folder / "spool"};
    EXPECT_THROW(Spool{folder / "spool"}, SpoolInUse);
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
    EXPECT_EQ(payloads(all_left_over(Spool{folder / "spool"})), Payloads{"after"});
}

TEST(Inbox, WakesOnlyWhenThereWasNothingBefore) {
    int rings = 0;
    Inbox inbox{Settings{}, noon, [&] { ++rings; }};

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
    Inbox inbox{Settings{}, noon, [] {}};
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
        Inbox inbox{settings, noon, [] {}};
        for (int i = 1; i <= 4; ++i) inbox.put(reading(std::to_string(i)));
        const MessageGroup committed = inbox.drain(2);
        const MessageGroup lost_with_the_process = inbox.drain(1);
        EXPECT_EQ(lost_with_the_process.messages.size(), 1U);
        inbox.release(committed.id);
        inbox.put(reading("5"));
    }
    Inbox inbox{settings, noon, [] {}};
    EXPECT_EQ(inbox.figures().replayed, 5U);
    inbox.put(reading("6"));
    const MessageGroup left_over = inbox.drain(100);
    // 1 and 2 shared a segment with 3 and 4, so they come twice; the store's key absorbs them.
    EXPECT_EQ(payloads(left_over.messages), (Payloads{"1", "2", "3", "4", "5"}));
    EXPECT_TRUE(left_over.more);
    const MessageGroup batch = inbox.drain(100);
    EXPECT_EQ(payloads(batch.messages), Payloads{"6"});

    inbox.release(batch.id);
    EXPECT_EQ(segments(folder).size(), 1U);
    EXPECT_EQ(fs::file_size(segments(folder)[0]), 0U);
}

/// The process died when the message stood in the spool and the record of what may be sent again did not know
/// it yet.
class DiedBetweenSpoolAndRecord : public ::testing::Test {
protected:
    void live(Delivery last) {
        {
            Inbox inbox{settings(), noon, [] {}};
            for (const char* const said : {"1", "2"}) inbox.put(reading(said));
        }
        Spool spool{settings().spool};
        Message third = reading("3");
        third.arrived = noon + Duration{2};
        EXPECT_FALSE(spool.append(3, third, last != Delivery::unacknowledged));
    }
    [[nodiscard]] Settings settings() const {
        Settings settings;
        settings.spool = folder_ / "spool";
        settings.filters = {"cellar/#"};
        return settings;
    }
    static Message reading(std::string payload) {
        return {"cellar/north/gravity", std::move(payload), noon, false};
    }

private:
    TemporaryFolder folder_;
};

TEST_F(DiedBetweenSpoolAndRecord, WhatTheBrokerSendsAgainIsKnownNevertheless) {
    live(Delivery::again);

    Inbox next{settings(), noon, [] {}};
    next.connected();
    for (const char* const said : {"2", "3", "4"}) next.put(reading(said), Delivery::again);

    EXPECT_EQ(payloads(next.drain(100).messages), (Payloads{"1", "2", "3"}));
    EXPECT_EQ(payloads(next.drain(100).messages), Payloads{"4"});
}

TEST_F(DiedBetweenSpoolAndRecord, ItsArrivalIsNotGivenOutAgain) {
    live(Delivery::once);

    Inbox next{settings(), noon, [] {}};
    next.put(reading("4"));

    (void)next.drain(100);
    EXPECT_EQ(next.drain(100).messages.at(0).arrived, noon + Duration{3});
}

TEST_F(DiedBetweenSpoolAndRecord, WhatIsNeverSentAgainDoesNotPartTheRecord) {
    live(Delivery::unacknowledged);
    {
        Inbox next{settings(), noon, [] {}};
        next.put(reading("4"));
    }

    Inbox last{settings(), noon, [] {}};
    last.connected();
    for (const char* const said : {"2", "4", "5"}) last.put(reading(said), Delivery::again);

    EXPECT_EQ(payloads(last.drain(100).messages), (Payloads{"1", "2", "3", "4"}));
    EXPECT_EQ(payloads(last.drain(100).messages), Payloads{"5"});
}

TEST(Inbox, WhatArrivesBehindAnEarlierRunsRestCanBeLookedAtBeforeItsTurn) {
    TemporaryFolder folder;
    Settings settings;
    settings.spool = folder / "spool";
    {
        Inbox earlier{settings, noon, [] {}};
        for (const char* const said : {"1", "2", "3"}) earlier.put(reading(said));
    }
    Inbox inbox{settings, noon, [] {}};
    for (const char* const said : {"4", "5", "6"}) inbox.put(reading(said));

    EXPECT_EQ(payloads(inbox.drain(2).messages), (Payloads{"1", "2"}));
    EXPECT_EQ(payloads(inbox.look_ahead(2)), (Payloads{"4", "5"}));
    inbox.put(reading("7"));
    EXPECT_EQ(payloads(inbox.look_ahead(100)), (Payloads{"6", "7"})) << "each once";
    EXPECT_THAT(inbox.look_ahead(100), ::testing::IsEmpty());

    EXPECT_EQ(payloads(inbox.drain(100).messages), Payloads{"3"});
    inbox.put(reading("8"));
    EXPECT_THAT(inbox.look_ahead(100), ::testing::IsEmpty()) << "it is next";
    EXPECT_EQ(payloads(inbox.drain(100).messages), (Payloads{"4", "5", "6", "7", "8"}));
}

TEST(Inbox, AFullQueueHoldsTheCallerUntilThereIsRoom) {
    Settings settings;
    settings.queue_bound = 2;
    Inbox inbox{settings, noon, [] {}};
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

TEST(Inbox, AQueueThatIsFullInBytesHoldsTheCallerToo) {
    Settings settings;
    settings.queue_bytes_bound = 3'000;
    Inbox inbox{settings, noon, [] {}};
    std::thread paho{[&] {
        for (int i = 0; i < 50; ++i) inbox.put(reading(std::string(1000, 'x')));
    }};
    EXPECT_TRUE(eventually([&] { return inbox.figures().waited > 0; }));
    EXPECT_LE(inbox.figures().queue_depth, 4U);
    std::size_t got = 0;
    EXPECT_TRUE(eventually([&] { return (got += inbox.drain(100).messages.size()) == 50; }));
    paho.join();
}

TEST(Inbox, WhatNoSensorCouldReadIsRefusedBeforeItIsSpooled) {
    TemporaryFolder folder;
    Settings settings;
    settings.spool = folder / "spool";
    settings.filters = {"cellar/+/gravity", "cellar/north/#"};
    Inbox inbox{settings, noon, [] {}};

    inbox.put({"cellar/south/gravity", "1.040", noon, false});
    inbox.put({"cellar/south/pressure", "an earlier configuration's", noon, false});
    inbox.put({"cellar/north/gravity", std::string(sensors::longest_payload_bytes + 1, 'x'), noon, false});

    EXPECT_EQ(payloads(inbox.drain(100).messages), Payloads{"1.040"});
    EXPECT_EQ(inbox.figures().unclaimed, 1U);
    EXPECT_EQ(inbox.figures().oversized, 1U);
    EXPECT_LT(fs::file_size(segments(folder)[0]), 100U);
}

TEST(Inbox, GoesOnWithoutASpoolThatCannotBeOpenedAndSaysSo) {
    Settings settings;
    settings.spool = "/nowhere at all/spool";
    Inbox inbox{settings, noon, [] {}};

    inbox.put(reading("1.040"));

    EXPECT_EQ(payloads(inbox.drain(100).messages), Payloads{"1.040"});
    const auto events = inbox.take_events();
    ASSERT_EQ(events.size(), 1U);
    EXPECT_EQ(events[0].kind, ConnectionEvent::Kind::spool_failed);
    EXPECT_NE(events[0].text.find("/nowhere at all/spool"), std::string::npos);
    EXPECT_EQ(inbox.figures().spool_failing_since, noon) << "and it stays so";
    inbox.release(1);
}

TEST(Inbox, ASpoolThatIsFullIsToldOnceAndAgainAfterItHadRoom) {
    TemporaryFolder folder;
    Settings settings;
    settings.spool = folder / "spool";
    settings.spool_limits = {.bytes = 200, .segment_bytes = 100};
    Inbox inbox{settings, noon, [] {}};
    const auto put_five = [&] {
        for (int i = 0; i < 5; ++i) inbox.put(reading("1.040"));
    };

    put_five();
    EXPECT_EQ(inbox.take_events().size(), 1U);
    EXPECT_TRUE(inbox.figures().spool_failing_since);
    EXPECT_GT(inbox.figures().spool_failures, 0U);
    const MessageGroup spooled = inbox.drain(100), unspooled = inbox.drain(100);
    EXPECT_EQ(spooled.messages.size() + unspooled.messages.size(), 5U) << "messages flow all the same";
    EXPECT_TRUE(spooled.in_spool) << "one kind in a group";
    EXPECT_FALSE(unspooled.in_spool);
    EXPECT_EQ(unspooled.messages.size(), inbox.figures().spool_failures);

    inbox.release(unspooled.id);
    inbox.put(reading("1.041"));
    EXPECT_FALSE(inbox.figures().spool_failing_since);
    EXPECT_TRUE(inbox.figures().spool_problem.empty());
    put_five();
    EXPECT_EQ(inbox.take_events().size(), 1U);
}

TEST(Inbox, GivesAgainWhatWasNotReleasedAndStandsInTheSpool) {
    TemporaryFolder folder;
    Settings settings;
    settings.spool = folder / "spool";
    settings.spool_limits = {.bytes = 1'000'000, .segment_bytes = 150};
    {
        Inbox earlier{settings, noon, [] {}};
        for (const char* const said : {"1", "2", "3"}) earlier.put(reading(said));
    }
    Inbox inbox{settings, noon, [] {}};
    for (const char* const said : {"4", "5", "6", "7"}) inbox.put(reading(said));
    std::uint64_t fourth = 0;
    for (MessageGroup group; group = inbox.drain(1), !group.messages.empty();)
        if (group.messages[0].payload == "4") fourth = group.id;
    inbox.release(fourth);

    const auto all_again = [&] {
        Payloads all;
        inbox.rewind();
        inbox.put(reading("later"));
        for (bool more = true; more;) {
            const MessageGroup group = inbox.drain_again(2);
            EXPECT_LE(group.messages.size(), 2U);
            for (const Message& message : group.messages) all.push_back(message.payload);
            more = group.more;
        }
        return all;
    };

    const Payloads first = all_again();
    EXPECT_TRUE(std::ranges::includes(first, Payloads{"5", "6", "7"}));
    EXPECT_EQ(std::ranges::count(first, "later"), 0) << "it was never drained";
    EXPECT_LE(first.size(), 5U) << "no more than a segment of what was released";
    const Payloads second = all_again();
    EXPECT_EQ(second, first) << "from its beginning again";
    EXPECT_EQ(inbox.drain(100).messages.size(), 2U) << "what is new comes as ever";
    inbox.release(100);
    inbox.rewind();
    EXPECT_TRUE(inbox.drain_again(100).messages.empty());
}

TEST(Inbox, HoldsUpWhoeverSendsMoreInOneGoThanTheClockCanTellApart) {
    using std::chrono::milliseconds;
    Settings settings;
    settings.filters = {"cellar/#"};
    settings.queue_bound = 1'000'000;
    settings.queue_bytes_bound = 1'000'000'000;
    Inbox inbox{settings, noon, [] {}};
    constexpr int in_one_go = 110'001, more = 100;
    for (int i = 0; i < in_one_go; ++i) inbox.put({"cellar/north/gravity", "1.040", noon});

    const auto begin = std::chrono::steady_clock::now();
    for (int i = 0; i < more; ++i) inbox.put({"cellar/north/gravity", "1.040", noon + milliseconds{i}});
    EXPECT_GE(std::chrono::steady_clock::now() - begin, milliseconds{more});

    EXPECT_EQ(inbox.figures().received, 0U + in_one_go + more);
}

TEST(Inbox, WithoutASpoolHasNothingToGiveAgain) {
    Inbox inbox{{}, noon, [] {}};
    inbox.put(reading("1.040"));
    EXPECT_FALSE(inbox.drain(100).in_spool);
    inbox.rewind();
    EXPECT_TRUE(inbox.drain_again(100).messages.empty());
}

TEST(Spool, GivesAgainWhatItHoldsThoughSomeCouldNotBeWritten) {
    TemporaryFolder folder;
    Spool spool{folder / "spool", {.bytes = 400, .segment_bytes = 1'000}};
    std::uint64_t sequence = 0;
    while (!spool.append(sequence + 1, reading(std::to_string(sequence + 1)))) ++sequence;
    const std::uint64_t written = sequence++;
    ASSERT_TRUE(spool.append(++sequence, reading("and another")));

    spool.rewind(sequence);
    const Spool::Taken taken = spool.take_again(100, 1'000'000);

    EXPECT_EQ(taken.messages.size(), written);
    EXPECT_FALSE(taken.more);
}

/// Resident memory of a child that takes a full spool up, in the sizes of the daemon.
TEST(Inbox, TakesAFullSpoolUpWithinLittleMemory) {
    TemporaryFolder folder;
    Settings settings;
    settings.spool = folder / "spool";
    {
        Spool spool{settings.spool};
        std::uint64_t sequence = 0;
        while (!spool.append(sequence + 1, reading(std::string(4000, 'x')))) ++sequence;
        ASSERT_GT(sequence, 10'000U);
    }
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
        rusage before{}, after{};
        ::getrusage(RUSAGE_SELF, &before);
        Inbox inbox{settings, noon, [] {}};
        std::uint64_t taken = 0;
        for (MessageGroup group; group = inbox.drain(2000), !group.messages.empty(); inbox.release(group.id))
            taken += group.messages.size();
        ::getrusage(RUSAGE_SELF, &after);
        constexpr long kib_allowed = 8 * 1024;
        ::_exit(taken == inbox.figures().replayed && after.ru_maxrss - before.ru_maxrss < kib_allowed ? 0
                                                                                                      : 1);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    ASSERT_TRUE(WIFEXITED(status));
    EXPECT_EQ(WEXITSTATUS(status), 0);
}

TEST(Inbox, NobodyWaitsAtTheEnd) {
    Settings settings;
    settings.queue_bound = 1;
    Inbox inbox{settings, noon, [] {}};
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
