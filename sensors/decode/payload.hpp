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
    /// Does not own `bytes`. `arrived` is what a relative time counts from.
    Payload(std::string_view bytes, Timestamp arrived) : bytes_{bytes}, arrived_{arrived} {}

    /// Hands each sample and each refusal to its function: at least one call; SenML may give several, samples
    /// first. Reasons: those of the decoder of the shape. Never throws, unless the functions do.
    template <class OnSample, class OnRefusal>
    void read(const Place& place, OnSample on_sample, OnRefusal on_refusal) {
        const auto hand_over = [&](const Decoded& found) {
            found ? on_sample(*found) : on_refusal(found.error());
        };
        if (place.kind == PayloadKind::number) return hand_over(decode_number(bytes_));
        if (!document_) document_.emplace(parse_json(bytes_));
        if (!*document_) return on_refusal(document_->error());
        if (place.kind == PayloadKind::json) return hand_over(decode_json(**document_, place.json));
        const SenmlRecords records = decode_senml(**document_, place.name, arrived_);
        for (const Sample& sample : records.samples) on_sample(sample);
        for (const Refusal& refusal : records.refusals) on_refusal(refusal);
    }

private:
    std::string_view bytes_;
    Timestamp arrived_;
    std::optional<base::Result<nlohmann::json, Refusal>> document_;
};

}  // namespace gyled::sensors
