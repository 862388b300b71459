#include "daemon/storage/batch_document.hpp"

#include "daemon/storage/batch_fields.hpp"

namespace gyled::storage {
namespace {

/// Without these a batch is none.
void require(const json& in, std::initializer_list<const char*> keys) {
    for (const char* key : keys)
        if (!in.contains(key)) throw std::runtime_error{std::string{key} + " is missing"};
}

/// A batch that runs stands in a stage of its plan: whoever takes it up asks in which.
void require_stages(const batch::Record& batch) {
    if (batch.ended) return;
    if (batch.stages.empty()) throw std::runtime_error{"stages: a running batch has entered one"};
    for (const auto& entered : batch.stages)
        if (entered.index >= batch.plan.stages.size())
            throw std::runtime_error{"stages: its plan has no stage " + std::to_string(entered.index)};
}

}  // namespace

std::string to_document(const batch::Record& batch) {
    return text_of(as_json(batch));
}
std::string to_document(const estimation::LearnedCurve& curve) {
    return text_of(as_json(curve));
}

batch::Record batch_from(std::string_view document) {
    const json in = object_from(document);
    require(in, {"id", "plan", "started_ms"});
    batch::Record batch;
    read(in, batch);
    require_stages(batch);
    require_our_time("started_ms", batch.started);
    for (const batch::Record::Entered& entered : batch.stages) require_our_time("stages: at_ms", entered.at);
    return batch;
}

estimation::LearnedCurve learned_from(std::string_view document) {
    const json in = object_from(document);
    require(in, {"edition", "batches", "mean", "covariance"});
    estimation::LearnedCurve curve;
    read(in, curve);
    return curve;
}

}  // namespace gyled::storage
