/// Any bytes as a line of a recorded log, and its message through an intake: as from the broker, topic and
/// payload are anybody's. Readings are finite and carry a time near the message's; refusals have a reason.

#include "daemon/cli/log_lines.hpp"

#include <cmath>

#include "sensors/decode/text.hpp"
#include "sensors/intake.hpp"
#include "tests/fuzz/claim.hpp"

using namespace gyled;

namespace {

sensors::SensorSpec sensor(const char* id, base::Quantity quantity, sensors::PayloadKind kind) {
    sensors::SensorSpec spec;
    spec.id = id;
    spec.vessel = "north";
    spec.quantity = quantity;
    spec.topic = std::string{"cellar/north/"} + id;
    spec.payload = kind;
    if (kind == sensors::PayloadKind::json) spec.pointer = "/v", spec.time_pointer = "/t";
    return spec;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto message = cli::parse_log_line(fuzz::text(data, size));
    if (!message) return 0;
    fuzz::claim(!message->topic.empty());
    sensors::Intake intake{{sensor("gravity", base::Quantity::gravity, sensors::PayloadKind::number),
                            sensor("beer", base::Quantity::beer_temperature, sensors::PayloadKind::json)}};
    const sensors::Intaken taken = intake.accept(*message);
    for (const sensors::Reading& reading : taken.readings)
        fuzz::claim(std::isfinite(reading.value) && reading.at <= message->arrived + std::chrono::minutes{2});
    for (const sensors::Reject& reject : taken.rejects)
        fuzz::claim(!reject.reason.empty() && sensors::is_utf8(reject.detail));
    return 0;
}
