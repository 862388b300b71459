/// Any bytes as the target of a GET, and behind a zero byte as Accept-Encoding, Host and Authorization: an
/// answer that is no failure of ours, and well-formed JSON where it says so.

#include "daemon/web/guard.hpp"
#include "daemon/web/gzip.hpp"
#include "daemon/web/target.hpp"
#include "sensors/decode/text.hpp"
#include "tests/fuzz/answered.hpp"

using namespace gyled;

namespace {

void judge(const web::Target& target) {
    for (const std::string& segment : target.path)
        fuzz::claim(!segment.empty() && segment != "." && segment != ".." &&
                    segment.find('/') == std::string::npos && segment.find('\0') == std::string::npos);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    std::string_view rest = fuzz::text(data, size);
    const std::string_view target = fuzz::take_first(rest);
    const web::Addressed addressed = web::addressed(target);
    if (const auto parsed = web::parse_target(addressed.target)) judge(*parsed);
    (void)web::is_host_value(addressed.host.value_or(""));
    web::HarbourCellar cellar;
    fuzz::answered({.method = "GET", .target = addressed.target}, cellar);
    fuzz::claim(cellar.commands.empty());

    (void)web::accepts_gzip(rest);
    (void)web::host_is_ours(rest, {"cellar.example"});
    web::TokenCheck check{"a token of the tests"};
    (void)check.check(rest, "192.0.2.7", {});
    return 0;
}
