#pragma once
/// What the stages that a batch has been through say of the inside of its vessel. Pure; any thread.

#include "daemon/batch/record.hpp"

namespace gyled::batch {

struct Contents {
    bool liquid = false;  ///< liquor, mash, wort or beer is in it
    bool co2 = true;  ///< the space above it may be full of CO2, as the batch before has left it: until air
                      ///< or steam has gone through
    friend bool operator==(const Contents&, const Contents&) = default;
};

/// As it was found by the stage entered last, which has changed nothing yet.
[[nodiscard]] Contents contents_found(const Record& record);
/// As it is in the stage entered last.
[[nodiscard]] Contents contents(const Record& record);

}  // namespace gyled::batch
