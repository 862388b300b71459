#pragma once
/// The shapes a payload may have, and one reader for all of them.

#include <optional>
#include <string>
#include <string_view>

#include "sensors/decode/json.hpp"
#include "sensors/decode/number.hpp"
#include "sensors/decode/place.hpp"
#include "sensors/decode/senml.hpp"

namespace gyled::sensors {

/// One message's payload, read for one sensor after another; its JSON is parsed once for all of them. Used by
/// one thread, for as long as the bytes live.
class Payload {
public:
    /// Does not own `bytes`. `arrived` is what a relative time counts from, and what a local time cannot
    /// follow.
    Payload(std::string_view bytes, Timestamp arrived) : bytes_{bytes}, arrived_{arrived} {}

    /// Hands each sample and each refusal to its function; SenML and a list of probes may give several, SenML
    /// samples first. False, without a call, when it speaks of other probes only. Reasons: those of the
    /// decoder of the shape. Never throws, unless the functions do.
    template <class OnSample, class OnRefusal>
    [[nodiscard]] bool read(const Place& place, OnSample on_sample, OnRefusal on_refusal) {
        const auto hand_over = [&](const Decoded& found) {
            found ? on_sample(*found) : on_refusal(found.error());
            return true;
        };
        if (place.kind == PayloadKind::number) return hand_over(decode_number(bytes_));
        if (!document_) document_.emplace(parse_json(bytes_));
        if (!*document_) return hand_over(base::Unexpected{document_->error()});
        if (place.kind == PayloadKind::json && !place.json.where)
            return hand_over(decode_json(**document_, place.json, arrived_));
        if (place.kind == PayloadKind::json) {
            const auto parts = parts_of(**document_, place.json);
            for (const nlohmann::json* part : parts) hand_over(decode_json(*part, place.json, arrived_));
            return !parts.empty();
        }
        const SenmlRecords records = decode_senml(**document_, place.name, arrived_);
        for (const Sample& sample : records.samples) on_sample(sample);
        for (const Refusal& refusal : records.refusals) on_refusal(refusal);
        return true;
    }

private:
    std::string_view bytes_;
    Timestamp arrived_;
    std::optional<base::Result<nlohmann::json, Refusal>> document_;
};

}  // namespace gyled::sensors
