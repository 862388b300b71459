/// Whatever a stranger sends fails only the stranger.

#include <nlohmann/json.hpp>
#include <random>

#include "daemon/web/api.hpp"
#include "tests/web/live_server.hpp"
#include "tests/web/wire.hpp"

namespace gyled::web {
namespace {

using nlohmann::json;
using namespace std::chrono_literals;

class Nonsense : public testing::Test {
protected:
    Answer ask(std::string_view bytes) {
        Wire wire = Wire::tcp(live.port);
        wire.say(bytes);
        return wire.hear();
    }
    int status(std::string_view bytes) { return ask(bytes).status; }
    int post(std::string_view target, std::string_view body) {
        return status(request("POST", target, json_headers() + bearer(token), body));
    }
    void TearDown() override {
        EXPECT_EQ(status(request("GET", "/health")), 200) << "the server has survived";
        EXPECT_TRUE(live.in_loop([this] { return live.cellar.commands.empty(); })) << "and did nothing";
    }
    LiveServer live;
};

TEST_F(Nonsense, BytesThatAreNoRequest) {
    EXPECT_EQ(status("\x16\x03\x01\x02 TLS to a plain port\r\n\r\n"), 400);
    EXPECT_EQ(status("GET\r\n\r\n"), 400);
    EXPECT_EQ(status("GET / HTTP/9.9\r\nHost: localhost\r\n\r\n"), 400);
    EXPECT_EQ(status("GET / HTTP/1.1\r\nHost localhost\r\n\r\n"), 400);
    EXPECT_EQ(status(std::string_view{"\0\0\0\0\r\n\r\n", 8}), 400);
    EXPECT_EQ(
        status("POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\nhello"),
        400);
    EXPECT_EQ(status("POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: -1\r\n\r\n"), 400);
}

TEST_F(Nonsense, RandomBytesFromManyStrangers) {
    std::mt19937 dice{20260301};
    for (int stranger = 0; stranger < 200; ++stranger) {
        std::string bytes =
            stranger % 2 == 0 ? "" : "POST /api/vessels/north/stage HTTP/1.1\r\nHost: localhost\r\n";
        const std::size_t length = dice() % 2000;
        for (std::size_t i = 0; i < length; ++i) bytes += static_cast<char>(dice());
        Wire wire = Wire::tcp(live.port);
        wire.say(bytes);
        wire.finish();
        EXPECT_NE(wire.hear().status, 200) << "stranger " << stranger;
    }
}

TEST_F(Nonsense, AHeaderThatIsTooLarge) {
    EXPECT_EQ(status(request("GET", "/health", "X-Filler: " + std::string(9000, 'x') + "\r\n")), 431);
    EXPECT_EQ(status(request("GET", "/" + std::string(9000, 'x'))), 431);
}

TEST_F(Nonsense, ABodyThatIsTooLarge) {
    const std::string headers = json_headers() + bearer(token);
    EXPECT_EQ(status(request("POST", "/api/vessels/north/stage", headers, std::string(300 * 1024, ' '))),
              413);
    EXPECT_EQ(
        status(request("POST", "/api/vessels/north/stage", headers + "Content-Length: 99999999999\r\n")),
        413);
}

TEST_F(Nonsense, AddressesThatClimbOutOfTheHouse) {
    for (const char* target : {"/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/..%2f..%2fetc/passwd",
                               "//etc/passwd", "/api//vessels", "/api/vessels/..", "/api/vessels/%00", "/%zz",
                               "/api/vessels/north?%", "http://localhost/%zz", "*"}) {
        EXPECT_EQ(status(request("GET", target)), 400) << target;
    }
    EXPECT_EQ(status(request("GET", "/etc/passwd")), 404);
    EXPECT_EQ(status(request("GET", "/index.html/")), 400);
    EXPECT_EQ(status(request("GET", "/INDEX.HTML")), 404);
}

TEST_F(Nonsense, IdsThatNobodyHas) {
    EXPECT_EQ(status(request("GET", "/api/vessels/west")), 404);
    EXPECT_EQ(status(request("GET", "/api/vessels/" + std::string(4000, 'n'))), 404);
    EXPECT_EQ(status(request("GET", "/api/vessels/%ff%fe")), 404);
    EXPECT_EQ(status(request("GET", "/api/vessels/west/trend?quantity=gravity")), 404);
    EXPECT_EQ(post("/api/vessels/west/stage", R"({"next": true})"), 404);
    EXPECT_EQ(post("/api/vessels/west/batch/end", "{}"), 404);
}

TEST_F(Nonsense, WrongMethodsAreToldTheRightOnes) {
    const Answer answer = ask(request("PUT", "/api/vessels/north"));
    EXPECT_EQ(answer.status, 405);
    EXPECT_EQ(answer.headers.at("allow"), "GET, HEAD");
    EXPECT_EQ(status(request("DELETE", "/api/vessels/north")), 401) << "what writes needs the token first";
    EXPECT_EQ(ask(request("GET", "/api/vessels/north/stage")).headers.at("allow"), "POST");
    EXPECT_EQ(status(request("PUT", "/")), 405);
    EXPECT_EQ(status(request("BREW", "/health")), 405);
    EXPECT_EQ(status(request("OPTIONS", "/api/vessels")), 405);
}

TEST_F(Nonsense, ParametersThatMakeNoSense) {
    const std::string trend = "/api/vessels/north/trend?";
    for (const char* query :
         {"", "quantity=", "quantity=hops", "quantity=gravity&points=0", "quantity=gravity&points=1501",
          "quantity=gravity&points=ten", "quantity=gravity&points=-5", "quantity=gravity&points=1e3",
          "quantity=gravity&from=yesterday", "quantity=gravity&to=99999999999999999999",
          "quantity=gravity&from=2026-03-13T00:00:00Z&to=2026-03-12T00:00:00Z",
          "quantity=gravity&from=1&to=1", "quantity=gravity&units=furlongs",
          "quantity=gravity&quantity=gravity", "quantity=gravity&from=-1",
          "quantity=gravity&to=9999-12-31T23:59:59Z"}) {
        EXPECT_EQ(status(request("GET", trend + query)), 400) << query;
    }
    EXPECT_EQ(status(request("GET", "/api/alarms?limit=0")), 400);
    EXPECT_EQ(status(request("GET", "/api/alarms?limit=100000")), 400);
    EXPECT_EQ(status(request("GET", "/api/alarms?before=never")), 400);
    for (const char* cursor : {"", ".", "x", "1772388000000", "never.a", "-5.a"})
        EXPECT_EQ(status(request("GET", "/api/alarms?after=" + std::string{cursor})), 400) << cursor;
    EXPECT_EQ(status(request("GET", "/api/batches?limit=x")), 400);
}

TEST_F(Nonsense, BodiesThatAreNoCommand) {
    const std::string stage = "/api/vessels/north/stage";
    for (const char* body : {"{",
                             "null",
                             "[]",
                             "7",
                             "{\"next\": tru",
                             "{\"next\": false}",
                             "{\"next\": \"yes\"}",
                             "{}",
                             "{\"next\": true, \"index\": 1}",
                             "{\"index\": -1}",
                             "{\"index\": 1.5}",
                             "{\"index\": \"1\"}",
                             "{\"nxet\": true}",
                             "{\"skip\": 1}",
                             "{\"back\": false}",
                             "{\"next\": true, \"skip\": true}",
                             "{\"back\": true, \"index\": 0}",
                             "{\"next\": true, \"why\": 5}",
                             "\xff\xfe",
                             "{\"next\": true, \"why\": \"\xc3\x28\"}",
                             "{\"next\": true, \"at\": \"soon\"}",
                             "{\"next\": true, \"at\": 1.5}",
                             "{\"next\": true, \"at\": \"2027-01-01T00:00:00Z\"}"}) {
        EXPECT_EQ(post(stage, body), 400) << body;
    }
    EXPECT_EQ(post(stage, R"({"next": true, "why": ")" + std::string(501, 'x') + "\"}"), 400);
    EXPECT_EQ(post(stage, std::string(200'000, '[')), 400) << "deep nesting";
    for (const char* body : {"{", "[]", R"({"step": 3})", R"({"at": "10:42"})"})
        EXPECT_EQ(post("/api/vessels/north/batch/undo", body), 400) << body;
    EXPECT_EQ(post("/api/vessels/west/batch/undo", "{}"), 404);
    EXPECT_EQ(status(request("POST", stage, bearer(token), R"({"next": true})")), 415);
    EXPECT_EQ(
        status(request("POST", stage, "Content-Type: text/plain\r\n" + bearer(token), R"({"next": true})")),
        415);
}

TEST_F(Nonsense, MeasurementsThatAreNone) {
    const std::string target = "/api/vessels/north/measurements";
    for (const char* body :
         {R"({"quantity": "gravity"})", R"({"value": 1.01})", R"({"quantity": "hops", "value": 1})",
          R"({"quantity": "final_gravity", "value": 1.01})", R"({"quantity": "gravity", "value": "1.01"})",
          R"({"quantity": "purge_cycles", "value": "3"})", R"({"quantity": "head_space_air", "value": 3})",
          R"({"quantity": "gravity", "value": 1e999})", R"({"quantity": "gravity", "value": null})",
          R"({"quantity": "gravity", "value": 10, "unit": "psi"})", R"({"quantity": 4, "value": 1})",
          R"({"quantity": "gravity", "value": 1.01, "unit": 3})",
          R"({"quantity": "gravity", "value": 1.01, "note": []})"}) {
        EXPECT_EQ(post(target, body), 400) << body;
    }
}

TEST_F(Nonsense, AlarmsThatAreNone) {
    for (const char* body :
         {"{}", R"({"alarm": ""})", R"({"alarm": 7})", R"({"alarm": null})", R"({"id": "x"})"})
        EXPECT_EQ(post("/api/alarms/acknowledge", body), 400) << body;
    for (const char* body : {"{}", R"({"alarm": "a"})", R"({"alarm": "a", "until": "2020-01-01T00:00:00Z"})",
                             R"({"alarm": "a", "until": 5})"})
        EXPECT_EQ(post("/api/alarms/shelve", body), 400) << body;
    EXPECT_EQ(post("/api/vessels/north/batch", R"({"toml": 5})"), 400);
    EXPECT_EQ(post("/api/vessels/north/batch", ""), 400);
}

TEST_F(Nonsense, AProblemIsAProblemDocument) {
    const Answer answer = ask(request("GET", "/nowhere"));

    EXPECT_EQ(answer.headers.at("content-type"), "application/problem+json");
    const json document = json::parse(answer.body);
    EXPECT_EQ(document["status"], 404);
    for (const char* member : {"type", "title", "detail"})
        EXPECT_TRUE(document[member].is_string()) << member;
}

TEST_F(Nonsense, BytesFromTheBrokerThatAreNoTextAreStillShown) {
    live.in_loop([this] { live.cellar.sensor_health[0].last_reject = "found \xff\xfe here"; });

    const json sensors = json::parse(ask(request("GET", "/api/sensors")).body);

    EXPECT_EQ(sensors["sensors"][0]["last_reject"], "found \xef\xbf\xbd\xef\xbf\xbd here");
}

/// Not a socket in sight: many targets and bodies made of the words that the API knows, in any order.
TEST(AnyRequest, IsAnsweredWithoutAnException) {
    const std::vector<std::string> words{"/",        "api",  "vessels",     "north", "trend",  "?",
                                         "quantity", "=",    "gravity",     "&",     "points", "from",
                                         "%41",      "%",    "stage",       "batch", "end",    "alarms",
                                         "..",       "{id}", "acknowledge", "\n",    "\xff",   "1"};
    const std::vector<std::string> pieces{
        "{",          "}",     "[",  "]",      "\"next\"", ":",           "true",      ",",
        "\"index\"",  "1e400", "-0", "\"at\"", "\"why\"",  "\"\\ud800\"", "\"value\"", "\"quantity\"",
        "\"gravity\""};
    const std::vector<std::string> methods{"GET", "POST", "HEAD", "PUT", ""};
    HarbourCellar cellar;
    std::mt19937 dice{42};
    for (int i = 0; i < 20'000; ++i) {
        Request r{.method = methods[dice() % methods.size()], .content_type = "application/json"};
        if (dice() % 4 != 0) r.target = "/api/";
        for (std::size_t n = dice() % 8; n > 0; --n) r.target += words[dice() % words.size()];
        for (std::size_t n = dice() % 8; n > 0; --n) r.body += pieces[dice() % pieces.size()];
        Handled handled = answer(r, cellar);
        if (const auto* question = std::get_if<Question>(&handled)) handled = (*question)(cellar);
        const Reply& reply = std::get<Reply>(handled);
        ASSERT_GE(reply.status, 200) << r.target << ' ' << r.body;
        ASSERT_LT(reply.status, 500) << r.target << ' ' << r.body;
        if (reply.content_type == "application/json" || reply.content_type == "application/problem+json") {
            ASSERT_TRUE(json::accept(reply.body)) << r.target;
        }
    }
}

}  // namespace
}  // namespace gyled::web
