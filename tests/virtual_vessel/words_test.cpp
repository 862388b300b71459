#include "sensors/virtual_vessel/plant/words.hpp"

#include <gtest/gtest.h>

namespace gyled::virtual_vessel {
namespace {

using namespace std::chrono_literals;

TEST(Words, SpansAsPeopleTypeThem) {
    EXPECT_EQ(duration_from("12d"), Duration{24h * 12});
    EXPECT_EQ(duration_from("36h"), Duration{36h});
    EXPECT_EQ(duration_from("1h30min"), Duration{90min});
    EXPECT_EQ(duration_from("1.5h"), Duration{90min});
    EXPECT_EQ(duration_from("90m"), Duration{90min});
    EXPECT_EQ(duration_from("45s"), Duration{45s});
    EXPECT_EQ(duration_from("0"), Duration{0});
}

TEST(Words, NonsenseIsNoSpan) {
    for (const char* text : {"", "12", "d", "-1d", "1 d", "1d ", "1x", "nan", "infd", "1e9d", "999999999d",
                             "1..5h", "h1", "0x1h", "1dd"})
        EXPECT_FALSE(duration_from(text)) << text;
}

TEST(Words, TroubleAsPeopleTypeIt) {
    const auto plain = trouble_from("stuck");
    ASSERT_TRUE(plain);
    EXPECT_EQ(plain->trouble.kind, TroubleKind::stuck);
    EXPECT_FALSE(plain->has_offset);

    const auto full = trouble_from("sensor-dropout@2d,for=6h,sensor=gravity");
    ASSERT_TRUE(full);
    EXPECT_EQ(full->trouble.kind, TroubleKind::sensor_dropout);
    EXPECT_TRUE(full->has_offset);
    EXPECT_DOUBLE_EQ(full->trouble.start_hours, 48);
    EXPECT_DOUBLE_EQ(full->trouble.hours, 6);
    EXPECT_EQ(full->trouble.sensor, Quantity::gravity);

    const auto leak = trouble_from("leak,amount=0.25");
    ASSERT_TRUE(leak);
    EXPECT_DOUBLE_EQ(leak->trouble.amount, 0.25);
}

TEST(Words, NonsenseIsNoTroubleAndTheReasonSaysWhy) {
    for (const char* text : {"", "quake", "leak@", "leak@soon", "leak,amount=", "leak,amount=-1",
                             "leak,amount=1x", "stuck,amount=2", "leak,for=ever", "leak,colour=red",
                             "leak,sensor=co2_volumes", "leak,=", "@3d", "\xff\xfe", "leak@1d@2d"}) {
        const auto typed = trouble_from(text);
        ASSERT_FALSE(typed) << text;
        EXPECT_GT(typed.error().size(), 10u);
    }
}

}  // namespace
}  // namespace gyled::virtual_vessel
