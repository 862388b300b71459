#include "daemon/app/learned_text.hpp"

#include <gtest/gtest.h>

namespace gyled::app {
namespace {

TEST(LearnedText, ComesBackAsItWas) {
    const estimation::LearnedCurve curve{3, 2, {0.1, -0.25, 1e-9}, {1, 0, 0, 0, 1, 0, 0, 0, 1}};

    EXPECT_EQ(learned_from_text(to_text(curve)), curve);
}

TEST(LearnedText, IsNothingWhenItIsNone) {
    for (const char* text :
         {"", "{", "null", "[]", "{\"edition\":\"x\"}", "{\"edition\":1,\"batches\":1,\"mean\":3}"})
        EXPECT_FALSE(learned_from_text(text).has_value()) << text;
}

}  // namespace
}  // namespace gyled::app
