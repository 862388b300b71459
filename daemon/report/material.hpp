#pragma once
/// What the record of a batch is made from: plain values, gathered by whoever can ask the store. Canonical
/// units (base/quantity.hpp); pressures gauge.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/base/quantity.hpp"
#include "daemon/batch/record.hpp"
#include "daemon/cellar/history.hpp"
#include "daemon/display/display.hpp"

namespace gyled::report {

using base::Quantity;
using base::Timestamp;
using Trends = std::map<Quantity, cellar::Trend>;

/// A batch of the same name that began before.
struct Earlier {
    batch::Record batch;
    cellar::Trend attenuation;  ///< apparent, in percent
};

struct Material {
    std::string site;
    display::Display display;
    Timestamp made;  ///< when this was asked for; the end of a batch that has not ended
    batch::Record batch;
    std::optional<batch::VesselSpec> vessel;  ///< as configured now; nothing: it is configured no more
    Trends trends;                            ///< over the whole batch
    Trends brew_day;                          ///< of its hot side alone, finer; empty when it had none
    Trends last;                              ///< of its last day, finely: what the final figures are
    std::vector<alarms::Transition> alarms;   ///< of the vessel during the batch, newest first
    std::vector<Earlier> earlier;             ///< newest first

    [[nodiscard]] Timestamp end() const { return batch.ended.value_or(made); }
};

/// When the yeast went in: the first stage of the cold side; the start of a batch that has none.
[[nodiscard]] Timestamp pitched(const batch::Record& batch);
/// Did it begin with a hot side, before that?
[[nodiscard]] bool has_brew_day(const batch::Record& batch);

}  // namespace gyled::report
