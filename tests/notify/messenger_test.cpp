// Push and webhook against a receiver that answers well, badly, late or not at all.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>
#include <thread>

#include "daemon/notify/push.hpp"
#include "daemon/notify/webhook.hpp"
#include "tests/notify/notices.hpp"
#include "tests/notify/receiver.hpp"

namespace gyled::notify {
namespace {

using namespace std::chrono_literals;
using Manner = Answer::Manner;
using testing::HasSubstr;
using testing::Not;

PushSettings settings(const Receiver& relay) {
    return {.url = relay.url(),
            .topic = "harbour-x7k2",
            .token = "tk_very_secret",
            .click_url = "http://cellar/v/north",
            .timeout = 5s};
}

TEST(Push, PublishesAsJsonAtTheRoot) {
    Receiver relay;
    PushMessenger phone{settings(relay)};

    const Delivery delivery = phone.send(warm_north());

    EXPECT_TRUE(delivery.accepted) << delivery.words;
    ASSERT_EQ(relay.heard().size(), 1U);
    const Heard heard = relay.heard()[0];
    EXPECT_EQ(heard.method, "POST");
    EXPECT_EQ(heard.target, "/");
    EXPECT_EQ(heard.headers.at("authorization"), "Bearer tk_very_secret");
    EXPECT_EQ(heard.headers.at("content-type"), "application/json");
    const auto json = nlohmann::json::parse(heard.body);
    EXPECT_EQ(json["topic"], "harbour-x7k2");
    EXPECT_EQ(json["title"], "North is warm: 21.3 °C");
    EXPECT_EQ(json["message"], warm_north().text);
    EXPECT_EQ(json["priority"], 4);
    EXPECT_EQ(json["click"], "http://cellar/v/north");
    EXPECT_EQ(json["tags"], nlohmann::json::array({"raised"}));
    EXPECT_EQ(json["sequence_id"], "north-temperature_out_of_band-1772388000000");
}

TEST(Push, OverTakesThePlaceOfWhatItEndsAndComesSoftly) {
    EXPECT_EQ(push_sequence(over_north()), push_sequence(warm_north()));
    EXPECT_EQ(push_priority(over_north()), 2);
}

TEST(Push, PrioritiesFollowTheRelaysScale) {
    annunciation::Notice notice = warm_north();
    const std::pair<alarms::Priority, int> scale[] = {{alarms::Priority::low, 2},
                                                      {alarms::Priority::medium, 3},
                                                      {alarms::Priority::high, 4},
                                                      {alarms::Priority::critical, 5}};
    for (const auto& [ours, theirs] : scale) {
        notice.priority = ours;
        EXPECT_EQ(push_priority(notice), theirs);
    }
}

TEST(Push, SequencesStayInTheRelaysAlphabetAndApart) {
    annunciation::Notice notice = over_north();
    for (const std::string& thread : {std::string{"north/sensor_silent/Fühler links unten/1772388000"},
                                      std::string(300, 'a'), std::string{"\x00\xff/\n", 4}, std::string{}}) {
        notice.thread = thread;
        EXPECT_THAT(push_sequence(notice), testing::MatchesRegex("[-_A-Za-z0-9]+"));
        EXPECT_LE(push_sequence(notice).size(), 64U);
    }
    annunciation::Notice other = notice;
    notice.thread = std::string(300, 'a') + "1";
    other.thread = std::string(300, 'a') + "2";
    EXPECT_NE(push_sequence(notice), push_sequence(other));
}

TEST(Push, EachWorseStepHasAPlaceOfItsOwnAndASoundOfItsOwn) {
    // 95 %, then 100 and 110 % of the limit: all critical
    const auto step = [](base::Duration after) {
        annunciation::Notice notice = warm_north();
        notice.at = at(after);
        notice.id = notice.thread + "/critical/" + std::to_string(notice.at.time_since_epoch().count());
        return push_sequence(notice);
    };

    EXPECT_NE(step(0s), step(10min));
    EXPECT_NE(step(10min), step(20min));
    EXPECT_EQ(step(10min), step(10min)) << "a repeated delivery replaces its own";
    EXPECT_EQ(step(0s), push_sequence(over_north()));
}

TEST(Push, OnlyTheRelaysReceiptIsAnAcceptance) {
    const Answer web_page{.body = "<html>Welcome to the harbour's guest network</html>",
                          .content_type = "text/html; charset=utf-8"};
    std::vector<Answer> no_acceptance{{.body = "", .content_type = ""},
                                      {.status = 204, .body = "", .content_type = ""},
                                      {.body = "{}"},
                                      {.body = "[]"},
                                      {.body = "ok", .content_type = "text/plain"},
                                      {.body = R"({"id":""})"},
                                      {.body = R"({"id":7})"},
                                      {.body = std::string{receipt}.substr(1)},
                                      web_page,
                                      {.manner = Manner::drop_at_once},
                                      {.manner = Manner::drop_after_body},
                                      {.manner = Manner::nonsense}};
    for (const int status :
         {301, 302, 303, 304, 307, 308, 400, 401, 403, 404, 408, 410, 413, 425, 429, 500, 502, 503, 507, 511})
        no_acceptance.push_back({.status = status});
    Receiver relay;
    PushMessenger phone{settings(relay)};
    for (const Answer& answer : no_acceptance) {
        relay.will({answer});
        const Delivery delivery = phone.send(warm_north());
        EXPECT_FALSE(delivery.accepted) << answer.status << " " << answer.body << ": " << delivery.words;
        EXPECT_FALSE(delivery.words.empty());
    }
    EXPECT_TRUE(phone.send(warm_north()).accepted);
}

TEST(Push, SaysOfALoginPageWhatItMayBe) {
    Receiver relay;
    relay.will({{.body = "<html>Welcome</html>", .content_type = "Text/HTML"}});
    PushMessenger phone{settings(relay)};

    EXPECT_EQ(phone.send(warm_north()).words,
              "answered 200 with a web page, perhaps a network's login page, and no push relay's receipt");
}

TEST(Push, AReceiptMayRepeatALongMessage) {
    Receiver relay;
    relay.will({{.body = R"({"message":")" + std::string(20'000, 'x') + R"(","id":"k3"})"}});
    PushMessenger phone{settings(relay)};

    EXPECT_TRUE(phone.send(warm_north()).accepted);
}

TEST(Push, DoesNotFollowARedirectionWithItsToken) {
    Receiver relay;
    Receiver elsewhere;
    relay.will({{.status = 307, .headers = {"Location: " + elsewhere.url()}}});
    PushMessenger phone{settings(relay)};

    const Delivery delivery = phone.send(warm_north());

    EXPECT_FALSE(delivery.accepted);
    EXPECT_EQ(delivery.words, "answered 307 (moved to " + elsewhere.url() +
                                  ", not followed: correct the address in the configuration)");
    EXPECT_TRUE(elsewhere.heard().empty());
}

TEST(Push, PassesRetryAfterOn) {
    Receiver relay;
    relay.will({{.status = 429, .headers = {"Retry-After: 120"}},
                {.status = 503, .headers = {"Retry-After: 7"}},
                {.status = 429},
                {.status = 429, .headers = {"Retry-After: soon, perhaps"}},
                {.status = 429, .headers = {"Retry-After: 99999999"}},
                {.status = 400, .headers = {"Retry-After: 5"}}});
    PushMessenger phone{settings(relay)};

    EXPECT_EQ(phone.send(warm_north()).after, 120s);
    EXPECT_EQ(phone.send(warm_north()).after, 7s);
    EXPECT_EQ(phone.send(warm_north()).after, std::nullopt);
    EXPECT_EQ(phone.send(warm_north()).after, std::nullopt);
    EXPECT_LE(phone.send(warm_north()).after, 24h) << "nobody sends us to sleep for years";
    EXPECT_EQ(phone.send(warm_north()).after, 5s) << "whatever it was answered with";
}

TEST(Push, GivesTheReceiversOwnWordsOnOneLineWithoutSecrets) {
    Receiver relay;
    relay.will({{.status = 403,
                 .body = "{\"error\":\"token tk_very_secret may not\r\nwrite to harbour-x7k2\"}\x07"}});
    PushMessenger phone{settings(relay)};

    const std::string words = phone.send(warm_north()).words;

    EXPECT_THAT(words, testing::StartsWith("answered 403: {\"error\":\"token *** may not"));
    EXPECT_THAT(words, Not(HasSubstr("secret")));
    EXPECT_THAT(words, Not(HasSubstr("harbour-x7k2"))) << "a relay's topic is a key as well";
    for (const char c : words) EXPECT_GE(static_cast<unsigned char>(c), 0x20);
}

TEST(Push, AFloodOfWordsIsCutShort) {
    Receiver relay;
    std::string flood;
    for (int n = 0; n < 100'000; ++n) flood += "é";
    relay.will({{.status = 500, .body = flood}});
    PushMessenger phone{settings(relay)};

    EXPECT_LE(phone.send(warm_north()).words.size(), 200U);
}

TEST(Push, AReceiverThatHangsCostsItsTimeoutAndNoMore) {
    Receiver relay;
    relay.will({{.manner = Manner::hang}});
    PushSettings impatient = settings(relay);
    impatient.timeout = 150ms;
    PushMessenger phone{impatient};

    const auto begin = std::chrono::steady_clock::now();
    const Delivery delivery = phone.send(warm_north());

    EXPECT_FALSE(delivery.accepted);
    EXPECT_THAT(delivery.words, HasSubstr("timed out"));
    EXPECT_LT(std::chrono::steady_clock::now() - begin, 5s);
}

TEST(Push, HangingUpEndsASendUnderWay) {
    Receiver relay;
    relay.will({{.manner = Manner::hang}});
    PushSettings patient = settings(relay);
    patient.timeout = 120s;
    PushMessenger phone{patient};
    std::thread impatience{[&] {
        while (relay.heard().empty()) std::this_thread::yield();
        phone.hang_up();
    }};

    const auto begin = std::chrono::steady_clock::now();
    const Delivery delivery = phone.send(warm_north());
    impatience.join();

    EXPECT_FALSE(delivery.accepted);
    EXPECT_LT(std::chrono::steady_clock::now() - begin, 20s);
}

TEST(Push, NonsenseSettingsAreRefusedInWords) {
    for (const std::string& url :
         {std::string{}, std::string{"relay"}, std::string{"file:///etc/passwd"}, std::string{"http://"},
          std::string{"gopher://127.0.0.1/"}, std::string{"http://127.0.0.1:99999/"},
          std::string{"http://a b/"}, std::string{"http://127.0.0.1/\r\nX: y"}}) {
        PushMessenger phone{{.url = url, .topic = "t", .token = "", .click_url = "", .timeout = 1s}};
        const Delivery delivery = phone.send(warm_north());
        EXPECT_FALSE(delivery.accepted) << url;
        EXPECT_FALSE(delivery.words.empty()) << url;
    }
    Receiver relay;
    PushSettings split = settings(relay);
    split.token = "tk\r\nX-Evil: 1";
    EXPECT_FALSE(PushMessenger{split}.send(warm_north()).accepted);
    EXPECT_TRUE(relay.heard().empty());
}

TEST(Push, NoticesOfAnyBytesMakeValidJson) {
    Receiver relay;
    PushMessenger phone{settings(relay)};
    annunciation::Notice notice = warm_north();
    notice.title = "\xff\xfe\x00 half a character \xc3";
    notice.text = std::string(100'000, '"');

    EXPECT_TRUE(phone.send(notice).accepted);
    EXPECT_EQ(nlohmann::json::parse(relay.heard()[0].body)["message"].get<std::string>().size(), 100'000U);
}

TEST(Push, NobodyThereMayBeTriedAgain) {
    std::string url;
    {
        Receiver gone;
        url = gone.url();
    }
    PushMessenger phone{{.url = url, .topic = "t", .token = "", .click_url = "", .timeout = 5s}};

    EXPECT_FALSE(phone.send(warm_north()).accepted);
}

TEST(Webhook, FillsItsTemplateAndEscapesForJson) {
    Receiver room;
    WebhookMessenger hook{{.url = room.url("/rooms/{{vessel}}/{{id}}"),
                           .method = "PUT",
                           .headers = {{"X-Key", "Key {{token}}"}, {"X-Title", "{{title}} {{text}}"}},
                           .body = R"({"msg":"{{ title }}: {{text}}","at":"{{time}}","what":"{{unknown}}"})",
                           .token = "hush-hush",
                           .timeout = 5s}};

    ASSERT_TRUE(hook.send(warm_north()).accepted);

    const Heard heard = room.heard()[0];
    EXPECT_EQ(heard.method, "PUT");
    EXPECT_EQ(heard.target,
              "/rooms/north/north%2Ftemperature_out_of_band%2F1772388000000%2Fhigh%2F1772388000000");
    EXPECT_EQ(heard.headers.at("x-key"), "Key hush-hush");
    EXPECT_EQ(heard.headers.at("x-title").find('\n'), std::string::npos);
    EXPECT_EQ(heard.headers.at("idempotency-key"),
              "north%2Ftemperature_out_of_band%2F1772388000000%2Fhigh%2F1772388000000");
    const auto json = nlohmann::json::parse(heard.body);
    EXPECT_EQ(json["msg"], warm_north().title + ": " + warm_north().text);
    EXPECT_EQ(json["at"], "2026-03-01T18:00:00Z");
    EXPECT_EQ(json["what"], "{{unknown}}");
}

TEST(Webhook, WithoutATemplateItSendsEverythingAsJson) {
    Receiver room;
    WebhookMessenger hook{{.url = room.url(),
                           .content_type = "text/plain",
                           .headers = {},
                           .body = "",
                           .token = "",
                           .timeout = 5s}};

    ASSERT_TRUE(hook.send(over_north()).accepted);

    const auto json = nlohmann::json::parse(room.heard()[0].body);
    EXPECT_EQ(json["kind"], "returned");
    EXPECT_EQ(json["priority"], "high");
    EXPECT_EQ(json["thread"], warm_north().thread);
    EXPECT_EQ(room.heard()[0].headers.at("content-type"), "application/json");
}

TEST(Webhook, NoNoticeCanCallUpTheToken) {
    Receiver room;
    WebhookMessenger hook{{.url = room.url(),
                           .headers = {{"X-Title", "{{title}}"}},
                           .body = "{{title}}{{token}}",
                           .token = "hush-hush",
                           .timeout = 5s}};
    annunciation::Notice notice = warm_north();
    notice.title = "{{token}}";

    ASSERT_TRUE(hook.send(notice).accepted);

    EXPECT_THAT(room.heard()[0].headers.at("x-title"), Not(HasSubstr("hush")));
    EXPECT_THAT(room.heard()[0].body, Not(HasSubstr("hush")));
}

TEST(Webhook, AddressAndClearHeadersStayOutOfTheWords) {
    Receiver room;
    const std::string url = room.url("/hooks/T0K3N");
    room.will({{.status = 404, .body = "no such hook " + url + " for key-in-clear"}});
    WebhookMessenger hook{
        {.url = url, .headers = {{"X-Key", "key-in-clear"}}, .body = "x", .token = "", .timeout = 5s}};

    const std::string words = hook.send(warm_north()).words;

    EXPECT_THAT(words, HasSubstr("no such hook"));
    EXPECT_THAT(words, Not(HasSubstr("T0K3N")));
    EXPECT_THAT(words, Not(HasSubstr("key-in-clear")));
}

TEST(Webhook, AnyAnswerOf2xxButAWebPageIsAnAcceptance) {
    Receiver room;
    room.will({{.status = 200, .body = "", .content_type = ""},
               {.status = 204, .body = "", .content_type = ""},
               {.status = 202, .body = "ok", .content_type = "text/plain"},
               {.body = "<html>Sign in</html>", .content_type = "text/html"},
               {.status = 308, .headers = {"Location: https://elsewhere.example/"}},
               {.status = 404}});
    WebhookMessenger hook{{.url = room.url(), .headers = {}, .body = "x", .token = "", .timeout = 5s}};

    for (const bool accepted : {true, true, true, false, false, false})
        EXPECT_EQ(hook.send(warm_north()).accepted, accepted) << room.heard().size();
}

TEST(Webhook, AcceptsOnlyTheAnswerThatThePersonExpects) {
    Receiver room;
    room.will({{.body = "<b>no such room</b>", .content_type = "text/html"},
               {.body = "", .content_type = ""},
               {.body = "ok", .content_type = "text/html"},
               {.status = 500, .body = "ok"}});
    WebhookMessenger hook{
        {.url = room.url(), .headers = {}, .body = "x", .token = "", .timeout = 5s, .expected_answer = "ok"}};

    EXPECT_EQ(hook.send(warm_north()).words, "answered 200 without 'ok'");
    EXPECT_FALSE(hook.send(warm_north()).accepted);
    EXPECT_TRUE(hook.send(warm_north()).accepted) << "some rooms say it as text/html";
    EXPECT_FALSE(hook.send(warm_north()).accepted);
}

TEST(Template, EscapesAsItsSurroundingsAsk) {
    annunciation::Notice notice = warm_north();
    notice.title = "50 % \"full\"\\\n\x01é&=";

    EXPECT_EQ(filled("{{title}}", notice, Escape::none), notice.title);
    EXPECT_EQ(nlohmann::json::parse("\"" + filled("{{title}}", notice, Escape::json) + "\""), notice.title);
    EXPECT_EQ(filled("{{title}}", notice, Escape::percent), "50%20%25%20%22full%22%5C%0A%01%C3%A9%26%3D");
    EXPECT_EQ(escape_for("application/json; charset=utf-8"), Escape::json);
    EXPECT_EQ(escape_for("application/vnd.chat+json"), Escape::json);
    EXPECT_EQ(escape_for("application/x-www-form-urlencoded"), Escape::percent);
    EXPECT_EQ(escape_for("text/plain"), Escape::none);
    EXPECT_EQ(escape_for(""), Escape::none);
}

TEST(Template, BearsHalfBracesAndNamesUnknownFields) {
    const annunciation::Notice notice = warm_north();
    for (const std::string whole :
         {"", "{", "{{", "}}", "{{title", "{title}", "}}{{", "{{}}", "{{ }}", "{{TITLE}}"})
        EXPECT_EQ(filled(whole, notice, Escape::none), whole);
    EXPECT_EQ(filled("{{{vessel}}}", notice, Escape::none), "{{{vessel}}}") << "'{vessel' is no field";
    EXPECT_EQ(filled(R"({"a":{"b":"{{vessel}}"}})", notice, Escape::json), R"({"a":{"b":"north"}})");

    EXPECT_THAT(unknown_fields("{{title}} {{ text }} {{titel}} {{}}"), testing::ElementsAre("titel", ""));
    EXPECT_TRUE(
        unknown_fields("{{title}}{{text}}{{priority}}{{kind}}{{vessel}}{{rule}}{{id}}{{thread}}{{time}}")
            .empty());
}

}  // namespace
}  // namespace gyled::notify
