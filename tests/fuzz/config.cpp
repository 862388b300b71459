/// Any bytes as a configuration and as a batch file: a value, or mistakes that can be printed, each with its
/// place.

#include <cstdint>
#include <cstdlib>

#include "daemon/config/config.hpp"
#include "sensors/decode/text.hpp"

using namespace gyled;

namespace {

void judge(const config::Mistakes& mistakes) {
    if (mistakes.empty()) std::abort();
    for (const config::Mistake& mistake : mistakes) {
        if (mistake.what.empty() || (mistake.line == 0) != (mistake.column == 0)) std::abort();
        if (!sensors::is_utf8(mistake.text()) || !sensors::is_utf8(mistake.excerpt)) std::abort();
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text{reinterpret_cast<const char*>(data), size};
    if (const auto config = config::parse_config(text, "gyled.toml"); !config) judge(config.error());
    if (const auto plan = config::parse_batch(text, "batch.toml"); !plan) judge(plan.error());
    return 0;
}
