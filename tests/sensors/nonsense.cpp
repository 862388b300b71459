/// Sensors talk nonsense every day. Whatever the bytes, nothing is thrown, nothing that is not a number is
/// accepted, and every message is accounted for.

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "sensors/topic.hpp"
#include "tests/sensors/harbour.hpp"

namespace {

using namespace gyled::sensors;
using namespace gyled::sensors::harbour;

SensorSpec number_sensor() {
    return thermometer();
}

SensorSpec json_sensor() {
    SensorSpec spec = hydrometer();
    spec.payload = PayloadKind::json;
    spec.pointer = "/probe/0/sg";
    spec.time_pointer = "/ts";
    return spec;
}

SensorSpec senml_sensor() {
    SensorSpec spec = pressure_gauge();
    spec.payload = PayloadKind::senml;
    spec.pointer = "north:head";
    return spec;
}

/// Seeded trouble: any bytes, or a valid payload with some of its bytes changed, lost, doubled or cut off.
class Trouble {
public:
    explicit Trouble(unsigned seed) : random_{seed} {}

    std::string any_bytes() {
        std::string bytes(below(80), '\0');
        for (char& b : bytes) b = static_cast<char>(below(256));
        return bytes;
    }

    std::string mutation_of(std::string payload) {
        static const std::string tempting = "0123456789.-+eE\"{}[]:,~/\\u \nnaif\x80\xff";
        for (std::size_t n = 1 + below(4); n > 0 && !payload.empty(); --n) {
            const std::size_t at = below(payload.size());
            switch (below(5)) {
                case 0:
                    payload[at] = static_cast<char>(below(256));
                    break;
                case 1:
                    payload[at] = tempting[below(tempting.size())];
                    break;
                case 2:
                    payload.erase(at, 1 + below(3));
                    break;
                case 3:
                    payload.insert(at, payload.substr(below(payload.size()), 1 + below(8)));
                    break;
                default:
                    payload.resize(at);
            }
        }
        return payload;
    }

private:
    std::size_t below(std::size_t limit) {
        return std::uniform_int_distribution<std::size_t>{0, limit - 1}(random_);
    }
    std::mt19937 random_;
};

struct Tally {
    std::uint64_t accepted = 0, rejected = 0, messages = 0;
};

void expect_sound(const Intaken& outcome, Tally& tally) {
    ASSERT_FALSE(outcome.readings.empty() && outcome.rejects.empty());
    for (const Reading& reading : outcome.readings) {
        ASSERT_TRUE(std::isfinite(reading.value));
        if (reading.quality == Quality::accepted) ++tally.accepted;
    }
    for (const Reject& reject : outcome.rejects) ASSERT_FALSE(reject.reason.empty() || reject.detail.empty());
    tally.rejected += outcome.rejects.size();
    ++tally.messages;
}

/// Tells `payload(i)` to a fresh intake of one sensor 20,000 times, and expects sound outcomes and true
/// counters.
template <class Payload>
Tally tell(const SensorSpec& spec, Payload payload) {
    Intake intake{{spec}};
    Tally tally;
    for (int i = 0; i < 20'000; ++i) {
        const Message m = message(spec, payload(), evening + i * 1min);
        Intaken outcome;
        EXPECT_NO_THROW(outcome = intake.accept(m)) << m.payload;
        expect_sound(outcome, tally);
        if (testing::Test::HasFatalFailure()) {
            ADD_FAILURE() << "payload: " << testing::PrintToString(m.payload);
            break;
        }
    }
    std::uint64_t counted = 0;
    for (const auto& [reason, count] : intake.rejected()) counted += count;
    EXPECT_EQ(intake.accepted(), tally.accepted);
    EXPECT_EQ(counted, tally.rejected);
    return tally;
}

TEST(Nonsense, OfRandomBytesIsRefusedByEveryDecoder) {
    for (const SensorSpec& spec : {number_sensor(), json_sensor(), senml_sensor()}) {
        Trouble trouble{42};
        const Tally tally = tell(spec, [&] { return trouble.any_bytes(); });
        EXPECT_EQ(tally.accepted + tally.rejected, tally.messages) << spec.id;
        EXPECT_LT(tally.accepted, 100u) << spec.id;
    }
}

TEST(Nonsense, MutatedNumbersAreAcceptedOrRefusedOnce) {
    Trouble trouble{43};
    const Tally tally = tell(number_sensor(), [&] { return trouble.mutation_of(" 19.4375 degC\n"); });
    EXPECT_EQ(tally.accepted + tally.rejected, tally.messages);
    EXPECT_GT(tally.accepted, 1'000u) << "some mutations are still numbers";
    EXPECT_GT(tally.rejected, 1'000u);
}

TEST(Nonsense, MutatedDocumentsAreAcceptedOrRefusedOnce) {
    Trouble trouble{44};
    const Tally tally = tell(json_sensor(), [&] {
        return trouble.mutation_of(
            R"({"probe":[{"sg":"1.0213"}],"ts":"2026-03-01T18:00:00Z","note":"\u00b0~"})");
    });
    EXPECT_EQ(tally.accepted + tally.rejected, tally.messages);
    EXPECT_GT(tally.accepted, 100u);
    EXPECT_GT(tally.rejected, 1'000u);
}

TEST(Nonsense, MutatedPacksAreAccountedForRecordByRecord) {
    Trouble trouble{45};
    const Tally tally = tell(senml_sensor(), [&] {
        return trouble.mutation_of(R"([{"bn":"north:","bt":-10.5,"bu":"kPa","bver":10,"n":"head","v":82.1},)"
                                   R"({"n":"head","t":-9,"u":"hPa","v":820.5},{"n":"lid","vb":true}])");
    });
    EXPECT_GE(tally.accepted + tally.rejected, tally.messages);
    EXPECT_GT(tally.accepted, 1'000u);
    EXPECT_GT(tally.rejected, 1'000u);
}

TEST(Nonsense, OnTopicsAndFiltersIsAnswered) {
    Trouble trouble{46};
    Intake intake{{thermometer()}};
    for (int i = 0; i < 20'000; ++i) {
        const std::string filter = trouble.mutation_of("cellar/+/gravity/#");
        const std::string topic = trouble.mutation_of("cellar/north/gravity");
        if (topic_filter_valid(filter)) (void)topic_matches(filter, topic);
        ASSERT_EQ(intake.accept({.topic = topic, .payload = "1", .arrived = evening}).rejects.size(), 1u);
    }
}

TEST(Nonsense, WithExtremeClocksIsAnswered) {
    Intake intake{{json_sensor()}};
    for (const auto arrived : {Timestamp{}, Timestamp{} - 24h * 36'500, Timestamp{} + 24h * 365 * 7'000})
        for (const char* ts : {"0", "1e11", "253402300799", "253402300799999", "\"0000-01-01T00:00:00Z\"",
                               "\"9999-12-31T23:59:60Z\"", "-1", "1e308", "null"}) {
            const auto outcome = intake.accept(
                message(json_sensor(), std::string{R"({"probe":[{"sg":1.02}],"ts":)"} + ts + "}", arrived));
            ASSERT_EQ(outcome.readings.size() + outcome.rejects.size() > 0, true) << ts;
        }
}

}  // namespace
