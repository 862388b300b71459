/// Any bytes as a bare-number payload: a finite number or a reason.

#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "sensors/decode/number.hpp"
#include "sensors/decode/text.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view payload{reinterpret_cast<const char*>(data), size};
    const auto sample = gyled::sensors::decode_number(payload);
    if (sample && !std::isfinite(sample->value)) std::abort();
    if (!sample && (sample.error().reason.empty() || !gyled::sensors::is_utf8(sample.error().detail)))
        std::abort();
    return 0;
}
