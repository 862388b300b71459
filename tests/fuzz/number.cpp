/// Any bytes as a bare-number payload: a finite number or a reason.

#include "sensors/decode/number.hpp"

#include <cmath>

#include "sensors/decode/text.hpp"
#include "tests/fuzz/claim.hpp"

using namespace gyled;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto sample = sensors::decode_number(fuzz::text(data, size));
    if (sample)
        fuzz::claim(std::isfinite(sample->value));
    else
        fuzz::claim(!sample.error().reason.empty() && sensors::is_utf8(sample.error().detail));
    return 0;
}
