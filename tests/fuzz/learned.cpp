/// Any bytes as the stored document of what batches taught.

#include "daemon/storage/batch_document.hpp"
#include "tests/fuzz/document.hpp"

using namespace gyled;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    fuzz::read_and_write(fuzz::text(data, size), storage::learned_from,
                         [](const estimation::LearnedCurve& value) { return storage::to_document(value); });
    return 0;
}
