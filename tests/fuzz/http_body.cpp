/// Any bytes as the body of each request that changes something (the first byte says which): refused, or a
/// command whose numbers are numbers and whose times lie between 1970 and now.

#include <array>
#include <cmath>

#include "tests/fuzz/answered.hpp"

using namespace gyled;

namespace {

struct Route {
    const char* method;
    const char* target;
    const char* content_type;
};
constexpr std::array routes{
    Route{"POST", "/api/vessels/north/measurements", "application/json"},
    Route{"PATCH", "/api/vessels/north/batch", "application/json"},
    Route{"POST", "/api/vessels/north/stage", "application/json"},
    Route{"POST", "/api/vessels/south/batch/end", "application/json"},
    Route{"POST", "/api/vessels/north/batch", "application/json"},
    Route{"POST", "/api/vessels/north/batch", "application/toml"},
    Route{"POST", "/api/alarms/acknowledge", "application/json"},
    Route{"POST", "/api/alarms/shelve", "application/json; charset=utf-8"},
    Route{"DELETE", "/api/vessels/north/measurements/latest", "application/json"},
};

void is_past(base::Timestamp at, const web::HarbourCellar& cellar) {
    fuzz::claim(at >= base::Timestamp{} && at <= cellar.clock + std::chrono::minutes{5});
}
void is_number(const std::optional<double>& value) {
    fuzz::claim(!value || std::isfinite(*value));
}

struct Judge {
    const web::HarbourCellar& cellar;

    void operator()(const cellar::Measure& command) const {
        is_past(command.measurement.at, cellar);
        is_number(command.measurement.value);
    }
    void operator()(const cellar::CorrectBatch& command) const {
        for (const auto& value : {command.original_gravity, command.expected_final_gravity, command.volume_l,
                                  command.target_co2_volumes})
            is_number(value);
        if (command.started) is_past(*command.started, cellar);
        for (const auto& time : command.stage_times) is_past(time.at, cellar);
    }
    void operator()(const cellar::Shelve& command) const { fuzz::claim(command.until > command.at); }
    template <class Other>
    void operator()(const Other& command) const {
        is_past(command.at, cellar);
    }
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size == 0) return 0;
    const Route& route = routes.at(data[0] % routes.size());
    web::HarbourCellar cellar;
    fuzz::answered({.method = route.method,
                    .target = route.target,
                    .content_type = route.content_type,
                    .body = std::string{fuzz::text(data + 1, size - 1)}},
                   cellar);
    fuzz::claim(cellar.commands.size() <= 1);
    for (const cellar::Command& command : cellar.commands) std::visit(Judge{cellar}, command);
    return 0;
}
