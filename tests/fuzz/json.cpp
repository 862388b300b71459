/// Any bytes as a JSON payload: a finite number, perhaps with a time, or a reason. The bytes up to the first
/// zero byte are the pointer, which may be any the configuration would accept.

#include "sensors/decode/json.hpp"

#include <cmath>
#include <stdexcept>

#include "sensors/decode/text.hpp"
#include "tests/fuzz/claim.hpp"

using namespace gyled;
using namespace gyled::sensors;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    std::string_view payload = fuzz::text(data, size);
    std::string pointer = "/v";
    if (payload.find('\0') != std::string_view::npos) pointer = fuzz::take_first(payload);
    JsonPlace place;
    try {
        place = json_place(pointer, "/t", TimeUnit::automatic);
    } catch (const std::invalid_argument&) {
        return 0;
    }
    const auto document = parse_json(payload);
    if (!document) {
        fuzz::claim(!document.error().reason.empty() && is_utf8(document.error().detail));
        return 0;
    }
    const auto sample = decode_json(*document, place, Timestamp{});
    if (sample)
        fuzz::claim(std::isfinite(sample->value));
    else
        fuzz::claim(!sample.error().reason.empty() && is_utf8(sample.error().detail));
    return 0;
}
