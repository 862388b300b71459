/// Any bytes as a batch file, which comes from a disk or over HTTP: a plan that has a stage, or mistakes that
/// can be printed.

#include <cmath>

#include "tests/fuzz/mistakes.hpp"

using namespace gyled;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto plan = config::parse_batch(fuzz::text(data, size), "batch.toml");
    if (!plan) {
        fuzz::judge(plan.error());
        return 0;
    }
    fuzz::claim(!plan->stages.empty() && std::isfinite(plan->volume_l));
    return 0;
}
