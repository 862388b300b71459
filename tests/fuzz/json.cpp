/// Any bytes as a JSON payload: a finite number, perhaps with a time, or a reason. The bytes up to the first
/// zero byte are the pointer, which may be any the configuration would accept.

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <stdexcept>

#include "sensors/decode/json.hpp"
#include "sensors/decode/text.hpp"

using namespace gyled::sensors;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    std::string_view payload{reinterpret_cast<const char*>(data), size};
    std::string pointer = "/v";
    if (const auto zero = payload.find('\0'); zero != std::string_view::npos) {
        pointer = payload.substr(0, zero);
        payload.remove_prefix(zero + 1);
    }
    JsonPlace place;
    try {
        place = json_place(pointer, "/t", TimeUnit::automatic);
    } catch (const std::invalid_argument&) {
        return 0;
    }
    const auto document = parse_json(payload);
    if (!document) {
        if (document.error().reason.empty() || !is_utf8(document.error().detail)) std::abort();
        return 0;
    }
    const auto sample = decode_json(*document, place, Timestamp{});
    if (sample && !std::isfinite(sample->value)) std::abort();
    if (!sample && (sample.error().reason.empty() || !is_utf8(sample.error().detail))) std::abort();
    return 0;
}
