#pragma once
/// SenML in JSON (RFC 8428): an array of records in which base fields hold for all that follow.

#include <vector>

#include "sensors/decode/json_text.hpp"

namespace gyled::sensors {

/// The records of one name: one upload may carry many readings of it.
struct SenmlRecords {
    std::vector<Sample> samples;
    std::vector<Refusal>
        refusals;  ///< one for each record of that name without a usable number; or one for the pack
};

/// Finds the records whose resolved name (base name followed by name) is `name`.
/// Times: base time plus time; below 2^28 s they count from `arrived` (RFC 8428 section 4.5.3), so a record
/// without any time was taken about now and gets no time of its own. Value: base value plus value. Reasons
/// for a record: not_a_number (vs, vb, vd or only a sum), no_value, bad_time, not_finite, bad_record (a field
/// of the wrong type). Reasons for a pack: not_senml, unsupported_version, must_understand (a field ending in
/// "_", section 4.4), no_such_name. Always at least one sample or refusal. Never throws.
[[nodiscard]] SenmlRecords decode_senml(const nlohmann::json& pack, std::string_view name, Timestamp arrived);

}  // namespace gyled::sensors
