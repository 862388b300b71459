#pragma once
/// The parts of the configuration, each read by its own file. All report to the section's report and never
/// throw.

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/config/section.hpp"

namespace gyled::config {

void read_broker(Section& root, Broker& broker);
void read_site(Section& root, Site& site);
void read_storage(Section& root, Storage& storage);
void read_web(Section& root, Web& web);
/// A cupboard to a hall.
inline constexpr Limits room_m3{0.5, 100'000};
/// `site`: its room is that of vessels which stand in no other; its units tell a danger to the person.
[[nodiscard]] std::vector<batch::VesselSpec> read_vessels(Section& root, const Site& site);
/// `time_zone`: the site's, for sensors that name none.
[[nodiscard]] std::vector<sensors::SensorSpec> read_sensors(Section& root,
                                                            const std::vector<batch::VesselSpec>& vessels,
                                                            const std::string& time_zone);
[[nodiscard]] std::vector<alarms::RuleTuning> read_alarms(Section& root,
                                                          const std::vector<batch::VesselSpec>& vessels);
[[nodiscard]] std::vector<Messenger> read_messengers(Section& root);
/// `against`: the configuration that has the vessel; nothing: only the file itself is read.
[[nodiscard]] batch::Plan read_batch(Section& root, const Config* against = nullptr);

/// Does the named vessel exist? Reports it at `key` when not.
void check_vessel_exists(Section& section, std::string_view key, const std::string& id,
                         const std::vector<batch::VesselSpec>& vessels);

/// The words of an enumeration that knows its values' names.
template <class Enum>
Choices<Enum> choices(std::initializer_list<Enum> values) {
    Choices<Enum> out;
    for (const Enum value : values) out.emplace_back(name(value), value);
    return out;
}

/// Reports an entry whose name an earlier one has already: keep one per list.
class Names {
public:
    void add(Section& section, std::string_view key, const std::string& name);

private:
    std::map<std::string, std::size_t> taken_;  ///< name -> line
};

}  // namespace gyled::config
