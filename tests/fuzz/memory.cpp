/// Any two documents of the store, taken up by a core at its start: that of a running batch, a zero byte,
/// that of its vessel's memory. What can be read can be restored, shown and written again.

#include "daemon/cellar/cellar.hpp"

#include <stdexcept>

#include "daemon/json/document.hpp"
#include "daemon/json/views.hpp"
#include "daemon/storage/batch_document.hpp"
#include "daemon/storage/state_document.hpp"
#include "tests/fuzz/claim.hpp"

using namespace gyled;

namespace {

cellar::CellarSpec house() {
    cellar::CellarSpec spec;
    spec.vessels = {{.id = "north", .name = "North", .total_volume_l = 26, .relief_pressure_kpa = 180}};
    spec.sensors = {{"north-gravity", "north", base::Quantity::gravity, {}},
                    {"north-pressure", "north", base::Quantity::head_pressure, {}}};
    spec.steps_at_once = 8;
    return spec;
}

std::optional<cellar::Memory> memory_in(std::string_view bytes) try {
    const std::string_view batch = fuzz::take_first(bytes);
    cellar::VesselState state = storage::state_from(bytes);
    if (!batch.empty()) state.batch = storage::batch_from(batch);
    state.vessel = "north";
    return cellar::Memory{{state}, {}};
} catch (const std::runtime_error&) {
    return std::nullopt;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto memory = memory_in(fuzz::text(data, size));
    if (!memory) return 0;
    cellar::Cellar core{house()};
    core.restore(*memory);
    (void)core.readings_needed_from();
    core.end_recall();
    for (const cellar::VesselView& view : core.vessels())
        fuzz::claim(!json::text(json::vessel_json(view, {})).empty());
    for (const cellar::VesselState& state : core.states()) fuzz::claim(!storage::to_document(state).empty());
    return 0;
}
