/// The page's files: there, small, compressed, revalidated.

#include "daemon/web/assets.hpp"

#include "daemon/web/gzip.hpp"
#include "tests/web/live_server.hpp"
#include "tests/web/wire.hpp"

namespace gyled::web {
namespace {

Answer get(const LiveServer& live, std::string_view target, std::string_view headers = "") {
    Wire wire = Wire::tcp(live.port);
    wire.say(request("GET", target, headers));
    return wire.hear();
}

TEST(Assets, ThePageIsAtTheRoot) {
    LiveServer live;
    const Answer page = get(live, "/");
    EXPECT_EQ(page.status, 200);
    EXPECT_EQ(page.headers.at("content-type"), "text/html; charset=utf-8");
    EXPECT_TRUE(page.body.starts_with("<!doctype html>"));
    EXPECT_EQ(page.body, find_asset("index.html")->bytes);
}

TEST(Assets, AreCompressedForWhoeverAccepts) {
    LiveServer live;
    const Answer plain = get(live, "/chart.min.js");
    const Answer small = get(live, "/chart.min.js", "Accept-Encoding: br;q=1, gzip;q=0.5\r\n");
    EXPECT_FALSE(plain.headers.contains("content-encoding"));
    EXPECT_EQ(small.headers.at("content-encoding"), "gzip");
    EXPECT_EQ(small.headers.at("vary"), "Accept-Encoding");
    EXPECT_LT(small.body.size() * 2, plain.body.size());
    EXPECT_EQ(unzipped(small.body), plain.body);
}

TEST(Assets, AreNotSentAgainToWhoHasThem) {
    LiveServer live;
    const std::string etag = get(live, "/chart.min.js").headers.at("etag");
    const Answer again = get(live, "/chart.min.js", "If-None-Match: \"other\", " + etag + "\r\n");
    EXPECT_EQ(again.status, 304);
    EXPECT_EQ(again.headers.at("etag"), etag);
    EXPECT_EQ(get(live, "/chart.min.js", "If-None-Match: \"other\"\r\n").status, 200);
}

TEST(Assets, TheWholeFirstLoadIsBelow150KilobytesCompressed) {
    std::size_t total = 0;
    for (const EmbeddedFile& file : embedded_files()) {
        const Asset* asset = find_asset(file.name);
        ASSERT_NE(asset, nullptr);
        total += asset->gzipped.empty() ? asset->bytes.size() : asset->gzipped.size();
    }
    EXPECT_LT(total, 150'000u);
}

TEST(Assets, ThePageNeedsNothingFromElsewhereAndNothingInline) {
    const std::string page{find_asset("index.html")->bytes};
    EXPECT_EQ(page.find("http://"), std::string::npos);
    EXPECT_EQ(page.find("https://"), std::string::npos);
    EXPECT_EQ(page.find(" style="), std::string::npos) << "the content security policy forbids it";
    EXPECT_EQ(page.find("<style"), std::string::npos);
    EXPECT_EQ(page.find("onclick"), std::string::npos);
}

TEST(Gzip, ApiAnswersAreCompressedWhenWorthIt) {
    LiveServer live;
    const Answer plain = get(live, "/api/vessels");
    const Answer small = get(live, "/api/vessels", "Accept-Encoding: gzip\r\n");
    EXPECT_EQ(small.headers.at("content-encoding"), "gzip");
    EXPECT_EQ(unzipped(small.body), plain.body);
    EXPECT_FALSE(get(live, "/health", "Accept-Encoding: gzip\r\n").headers.contains("content-encoding"));
}

TEST(Gzip, RoundTrips) {
    EXPECT_EQ(unzipped(gzipped("")), "");
    const std::string text(100'000, 'x');
    EXPECT_EQ(unzipped(gzipped(text)), text);
    EXPECT_EQ(gzipped("same"), gzipped("same"));
}

TEST(Gzip, IsSentOnlyWhereAccepted) {
    for (const char* yes : {"gzip", "GZIP", "deflate, gzip;q=1.0", "*", "br , gzip"})
        EXPECT_TRUE(accepts_gzip(yes)) << yes;
    for (const char* no : {"", "br", "gzip;q=0", "gzip; q=0.000", "xgzip", "identity", ";;;,,"})
        EXPECT_FALSE(accepts_gzip(no)) << no;
}

}  // namespace
}  // namespace gyled::web
