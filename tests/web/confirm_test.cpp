/// What of a plan the vessel does not bear, over the API: refused with the findings, carried out once
/// confirmed.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "daemon/web/api.hpp"
#include "tests/web/fake/harbour_cellar.hpp"

namespace gyled::web {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;

constexpr const char* toml = "name = \"Harbour Mild\"\nvessel = \"south\"\n[[stage]]\nkind = \"ferment\"\n";

batch::Findings one(batch::Severity severity) {
    return {{severity, 4, "head_pressure_kpa", "Stage 5 (serve): the regulator is set to 1.70 bar", 166.0}};
}

class Confirming : public ::testing::Test {
protected:
    Reply ask(const std::string& method, const std::string& target, const json& body) {
        return ask(method, target, body.dump(), "application/json");
    }
    Reply ask(const std::string& method, const std::string& target, const std::string& body,
              const std::string& type) {
        return std::get<Reply>(
            answer({.method = method, .target = target, .content_type = type, .body = body}, cellar));
    }
    template <class Command>
    cellar::Consent consent() {
        return std::get<Command>(cellar.commands.back()).consent;
    }
    HarbourCellar cellar;
};

TEST_F(Confirming, ADoubtIsAnsweredWithWhatWasFoundAndHowToGoOn) {
    cellar.findings = one(batch::Severity::doubtful);

    const Reply reply = ask("POST", "/api/vessels/north/stage", {{"next", true}});

    EXPECT_EQ(reply.status, 409);
    EXPECT_EQ(reply.content_type, "application/problem+json");
    const json document = json::parse(reply.body);
    EXPECT_EQ(document["confirmable"], true);
    ASSERT_EQ(document["findings"].size(), 1U);
    EXPECT_EQ(document["findings"][0]["severity"], "doubtful");
    EXPECT_EQ(document["findings"][0]["stage"], 4);
    EXPECT_EQ(document["findings"][0]["key"], "head_pressure_kpa");
    EXPECT_EQ(document["findings"][0]["fits"], 166.0);
    EXPECT_THAT(document["findings"][0]["text"], HasSubstr("1.70 bar"));
    EXPECT_TRUE(cellar.commands.empty());

    EXPECT_EQ(ask("POST", "/api/vessels/north/stage", {{"next", true}, {"confirm", true}}).status, 200);
    EXPECT_EQ(consent<cellar::EnterStage>(), cellar::Consent::given);
}

TEST_F(Confirming, IsPossibleWhereverAPlanIsTold) {
    EXPECT_EQ(ask("PATCH", "/api/vessels/north/batch", {{"volume", "25L"}, {"confirm", true}}).status, 200);
    EXPECT_EQ(consent<cellar::CorrectBatch>(), cellar::Consent::given);
    EXPECT_EQ(ask("POST", "/api/vessels/south/batch", {{"toml", toml}, {"confirm", true}}).status, 200);
    EXPECT_EQ(consent<cellar::StartBatch>(), cellar::Consent::given);
    EXPECT_EQ(ask("POST", "/api/vessels/south/batch?confirm=true", toml, "application/toml").status, 200);
    EXPECT_EQ(consent<cellar::StartBatch>(), cellar::Consent::given);
    EXPECT_EQ(ask("POST", "/api/vessels/south/batch", toml, "application/toml").status, 200);
    EXPECT_EQ(consent<cellar::StartBatch>(), cellar::Consent::none) << "nobody confirms by saying nothing";
    EXPECT_EQ(ask("POST", "/api/vessels/north/stage", {{"next", true}, {"confirm", false}}).status, 200);
    EXPECT_EQ(consent<cellar::EnterStage>(), cellar::Consent::none);
}

TEST_F(Confirming, HelpsNothingAgainstDanger) {
    cellar.findings = one(batch::Severity::dangerous);
    const Reply reply = ask("POST", "/api/vessels/north/stage", {{"next", true}, {"confirm", true}});
    EXPECT_EQ(reply.status, 409);
    EXPECT_EQ(json::parse(reply.body)["confirmable"], false);
    EXPECT_TRUE(cellar.commands.empty());
}

TEST_F(Confirming, TakesNoNonsense) {
    for (const json& nonsense : {json("yes"), json(1), json(nullptr), json::array({true}), json::object()}) {
        EXPECT_EQ(ask("POST", "/api/vessels/north/stage", {{"next", true}, {"confirm", nonsense}}).status,
                  400);
        EXPECT_EQ(ask("PATCH", "/api/vessels/north/batch", {{"volume", "20L"}, {"confirm", nonsense}}).status,
                  400);
        EXPECT_EQ(ask("POST", "/api/vessels/south/batch", {{"toml", toml}, {"confirm", nonsense}}).status,
                  400);
    }
    for (const char* const query : {"confirm=", "confirm=1", "confirm=TRUE", "confirm=true%00"})
        EXPECT_EQ(
            ask("POST", std::string{"/api/vessels/south/batch?"} + query, toml, "application/toml").status,
            400)
            << query;
    EXPECT_EQ(ask("PATCH", "/api/vessels/north/batch", {{"confirm", true}}).status, 400)
        << "corrects nothing";
    EXPECT_TRUE(cellar.commands.empty());
}

TEST_F(Confirming, TheVesselTellsWhatStandsAboutItsPlan) {
    cellar.vessel("north").batch->findings = one(batch::Severity::doubtful);
    const json north =
        json::parse(std::get<Reply>(answer({.method = "GET", .target = "/api/vessels/north"}, cellar)).body);
    EXPECT_EQ(north["batch"]["findings"][0]["severity"], "doubtful");
}

TEST_F(Confirming, TheBandShownHoldsNobodyToMoreThanThePartsBear) {
    cellar::VesselView& north = cellar.vessel("north");
    north.batch->plan.stages[north.batch->stage_index].pressure_kpa = base::Band{400, 600};
    const json shown =
        json::parse(std::get<Reply>(answer({.method = "GET", .target = "/api/vessels/north"}, cellar)).body);
    EXPECT_LE(shown["limits"]["pressure_band"]["high"], 180);
    EXPECT_EQ(shown["limits"]["pressure_band"]["low"], 0) << "nobody is sent upwards";
}

}  // namespace
}  // namespace gyled::web
