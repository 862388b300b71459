/// Any bytes as the stored document of a sensor's memory.

#include "daemon/storage/state_document.hpp"
#include "tests/fuzz/document.hpp"

using namespace gyled;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    fuzz::read_and_write(fuzz::text(data, size), storage::sensor_state_from,
                         [](const sensors::SensorState& value) { return storage::to_document(value); });
    return 0;
}
