/// Any bytes as a configuration: a value, or mistakes that can be printed, each with its place.

#include "tests/fuzz/mistakes.hpp"

using namespace gyled;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (const auto config = config::parse_config(fuzz::text(data, size), "gyled.toml"); !config)
        fuzz::judge(config.error());
    return 0;
}
