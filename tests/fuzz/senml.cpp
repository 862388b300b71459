/// Any bytes as a SenML payload: finite numbers and reasons, at least one of them.

#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "sensors/decode/senml.hpp"
#include "sensors/decode/text.hpp"

using namespace gyled::sensors;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto pack = parse_json({reinterpret_cast<const char*>(data), size});
    if (!pack) return 0;
    const auto found = decode_senml(*pack, "x", gyled::base::from_unix_seconds(1'772'388'000));
    if (found.samples.empty() && found.refusals.empty()) std::abort();
    for (const Sample& sample : found.samples)
        if (!std::isfinite(sample.value)) std::abort();
    for (const Refusal& refusal : found.refusals)
        if (refusal.reason.empty() || !is_utf8(refusal.detail)) std::abort();
    return 0;
}
