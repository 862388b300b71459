#include "daemon/config/core_spec.hpp"

namespace gyled::config {

cellar::CellarSpec core_spec(const Config& config) {
    cellar::CellarSpec spec;
    spec.site = config.site.name;
    spec.elevation_m = config.site.elevation_m;
    spec.display = config.site.display;
    spec.vessels = config.vessels;
    spec.rules = config.alarms;
    for (const Messenger& messenger : config.messengers)
        spec.recipients.push_back(
            {messenger.name, messenger.at_least, messenger.quiet, messenger.critical_after});
    for (const sensors::SensorSpec& sensor : config.sensors)
        spec.sensors.push_back({sensor.id, sensor.vessel, sensor.quantity, sensor.silent_after});
    return spec;
}

}  // namespace gyled::config
