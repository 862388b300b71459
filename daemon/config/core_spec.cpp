#include "daemon/config/core_spec.hpp"

namespace gyled::config {

cellar::CellarSpec core_spec(const Config& config) {
    cellar::CellarSpec spec;
    spec.elevation_m = config.site.elevation_m;
    spec.display = config.site.display;
    spec.vessels = config.vessels;
    spec.rules = config.alarms;
    for (const sensors::SensorSpec& sensor : config.sensors)
        spec.sensors.push_back({sensor.id, sensor.vessel, sensor.measures, sensor.silent_after});
    return spec;
}

}  // namespace gyled::config
