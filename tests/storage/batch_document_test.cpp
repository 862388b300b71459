/// The document of a batch, made up or cut short: understood, or refused in words.

#include "daemon/storage/batch_document.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <stdexcept>

namespace gyled::storage {
namespace {

using nlohmann::json;
using testing::HasSubstr;

json running() {
    return json::parse(R"({"id": "north-harbour-mild", "started_ms": 1772388000000,
        "plan": {"name": "Harbour Mild", "vessel": "north", "volume_l": 21, "stages": [{"kind": "ferment"}]},
        "stages": [{"index": 0, "at_ms": 1772388000000, "why": "by plan"}]})");
}

json with(const char* pointer, const json& value) {
    json document = running();
    document[json::json_pointer{pointer}] = value;
    return document;
}

void expect_refused(const std::string& document, const char* words) try {
    (void)batch_from(document);
    ADD_FAILURE() << document << " was taken";
} catch (const std::runtime_error& problem) {
    EXPECT_THAT(problem.what(), HasSubstr(words)) << document;
}

TEST(BatchDocument, OfNonsenseIsRefusedInWords) {
    expect_refused("", "parse error");
    expect_refused("[]", "not an object");
    expect_refused("{}", "id is missing");
    expect_refused(with("/started_ms", 1.8e60).dump(), "started_ms");
    expect_refused(with("/stages/0/index", -1).dump(), "index");
    expect_refused(with("/plan/stages/0/end", {{"duration_ms", 1e300}}).dump(), "duration_ms");
}

TEST(BatchDocument, OfATimeThatNoClockOfOursShowedIsRefused) {
    constexpr std::int64_t year_1969 = -1'000'000'000, year_2300 = 10'413'792'000'000,
                           year_128000 = 3'977'000'000'000'000;
    for (const std::int64_t wild : {year_1969, year_2300}) {
        expect_refused(with("/started_ms", wild).dump(), "is not between 1970 and 2200");
        expect_refused(with("/stages/0/at_ms", wild).dump(), "is not between 1970 and 2200");
    }
    expect_refused(with("/started_ms", year_128000).dump(), "in range");
    expect_refused(with("/plan/stages/0/start_ms", year_128000).dump(), "in range");
}

/// Whoever takes it up asks which stage it is in: of none, memory that is nobody's was read.
TEST(BatchDocument, OfARunningBatchThatStandsInNoStageIsRefused) {
    expect_refused(with("/stages", json::array()).dump(), "has entered one");
    expect_refused(with("/stages/0/index", 1).dump(), "no stage 1");
    expect_refused(with("/plan/stages", json::array()).dump(), "no stage 0");

    json ended = with("/stages", json::array());
    ended["ended_ms"] = 1773388000000;
    EXPECT_EQ(batch_from(ended.dump()).id, "north-harbour-mild");
}

}  // namespace
}  // namespace gyled::storage
