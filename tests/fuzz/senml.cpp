/// Any bytes as a SenML payload: finite numbers and reasons, at least one of them.

#include "sensors/decode/senml.hpp"

#include <cmath>

#include "sensors/decode/text.hpp"
#include "tests/fuzz/claim.hpp"

using namespace gyled;
using namespace gyled::sensors;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto pack = parse_json(fuzz::text(data, size));
    if (!pack) return 0;
    const auto found = decode_senml(*pack, "x", base::from_unix_seconds(1'772'388'000));
    fuzz::claim(!found.samples.empty() || !found.refusals.empty());
    for (const Sample& sample : found.samples) fuzz::claim(std::isfinite(sample.value));
    for (const Refusal& refusal : found.refusals)
        fuzz::claim(!refusal.reason.empty() && is_utf8(refusal.detail));
    return 0;
}
