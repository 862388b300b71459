#pragma once
/// What a batch consists of in a document. The keys are those of version 1, on which the views lean.

#include <array>

#include "daemon/batch/record.hpp"
#include "daemon/storage/document.hpp"

namespace gyled::storage {

/// Both directions for an enumeration whose words are functions beside it.
template <auto name_of, auto value_named>
struct NamedWords {
    [[nodiscard]] static std::string name(auto value) { return std::string{name_of(value)}; }
    [[nodiscard]] static auto named(std::string_view text) { return value_named(text); }
};
/// ... and for one whose words are known here only, in the order of its values.
template <class E, std::size_t n>
[[nodiscard]] std::optional<E> at_place_of(std::string_view text,
                                           const std::array<std::string_view, n>& words) {
    for (std::size_t i = 0; i < n; ++i)
        if (words[i] == text) return static_cast<E>(i);
    return std::nullopt;
}

template <>
struct Words<base::Quantity>
    : NamedWords<static_cast<std::string_view (*)(base::Quantity)>(base::name), base::quantity_named> {};
template <>
struct Words<base::StageKind>
    : NamedWords<static_cast<std::string_view (*)(base::StageKind)>(base::name), base::stage_kind_named> {};
template <>
struct Words<base::HeadSpace>
    : NamedWords<static_cast<std::string_view (*)(base::HeadSpace)>(base::name), base::head_space_named> {};
template <>
struct Words<base::Culture>
    : NamedWords<static_cast<std::string_view (*)(base::Culture)>(base::name), base::culture_named> {};
template <>
struct Words<estimation::FactKind>
    : NamedWords<static_cast<std::string_view (*)(estimation::FactKind)>(estimation::name),
                 estimation::fact_kind_named> {};
template <>
struct Words<batch::StageClock::Direction> {
    static constexpr std::array<std::string_view, 3> words{"unknown", "rising", "falling"};
    [[nodiscard]] static std::string name(batch::StageClock::Direction direction) {
        return std::string{words.at(static_cast<std::size_t>(direction))};
    }
    [[nodiscard]] static std::optional<batch::StageClock::Direction> named(std::string_view text) {
        return at_place_of<batch::StageClock::Direction>(text, words);
    }
};
template <>
struct Words<batch::StageEnd::When> {
    static constexpr std::array<std::string_view, 5> words{"by_hand", "temperature_reached", "time_in_band",
                                                           "terminal_gravity", "carbonated"};
    [[nodiscard]] static std::string name(batch::StageEnd::When when) {
        return std::string{words.at(static_cast<std::size_t>(when))};
    }
    [[nodiscard]] static std::optional<batch::StageEnd::When> named(std::string_view text) {
        return at_place_of<batch::StageEnd::When>(text, words);
    }
};

template <class Field>
void fields(Field& field, Of<batch::StageEnd> auto& it) {
    field("when", it.when);
    field("temperature_c", it.temperature_c);
    field("duration_ms", it.duration);
}

template <class Field>
void fields(Field& field, Of<batch::Addition> auto& it) {
    field("what", it.what);
    field("before_end_ms", it.before_end);
}

template <class Field>
void fields(Field& field, Of<batch::StagePlan> auto& it) {
    field("kind", it.kind);
    field("start_ms", it.start);
    field("temperature_c", it.temperature_c);
    field("pressure_kpa", it.pressure_kpa);
    field("head_space", it.head_space);
    field("head_pressure_kpa", it.head_pressure_kpa);
    field("end", it.end);
    field("additions", it.additions);
}

template <class Field>
void fields(Field& field, Of<batch::Plan> auto& it) {
    field("name", it.name);
    field("vessel", it.vessel);
    field("volume_l", it.volume_l);
    field("original_gravity", it.original_gravity);
    field("expected_final_gravity", it.expected_final_gravity);
    field("culture", it.culture);
    field("culture_name", it.culture_name);
    field("target_co2_volumes", it.target_co2_volumes);
    field("stages", it.stages);
}

template <class Field>
void fields(Field& field, Of<estimation::LearnedCurve> auto& it) {
    field("edition", it.edition);
    field("batches", it.batches);
    field("mean", it.mean);
    field("covariance", it.covariance);
}

template <class Field>
void fields(Field& field, Of<batch::StageClock> auto& it) {
    field("in_band_ms", it.in_band);
    field("in_band_seen_ms", it.in_band_seen);
    field("direction", it.direction);
}

template <class Field>
void fields(Field& field, Of<estimation::gas::LearnedUptake> auto& it) {
    field("edition", it.edition);
    field("batches", it.batches);
    field("litres_per_h", it.litres_per_h);
    field("log_sigma", it.log_sigma);
}

template <class Field>
void fields(Field& field, Of<batch::Record::Entered> auto& it) {
    field("index", it.index);
    field("at_ms", it.at);
    field("why", it.why);
    field("end_reached_ms", it.end_reached);
    field("soon_told_ms", it.soon_told);
    field("additions_told", it.additions_told);
    field("left_at", it.left_at);
}

template <class Field>
void fields(Field& field, Of<batch::HandMeasurement> auto& it) {
    field("quantity", it.quantity);
    field("value", it.value);
    field("at_ms", it.at);
    field("note", it.note);
}

/// A fact is revoked when it has the time at which it was.
template <class Field>
void fields(Field& field, Of<estimation::Fact> auto& it) {
    field("kind", it.kind);
    field("at_ms", it.at);
    field("evidence", it.evidence);
    std::optional<base::Timestamp> revoked;
    if (it.revoked) revoked = it.revoked_at;
    field("revoked_ms", revoked);
    if constexpr (Field::reads) {
        it.revoked = revoked.has_value();
        it.revoked_at = revoked.value_or(base::Timestamp{});
    }
    if (it.revoked) field("revoked_because", it.revoked_because);
}

template <class Field>
void fields(Field& field, Of<batch::Record> auto& it) {
    field("id", it.id);
    field("plan", it.plan);
    field("started_ms", it.started);
    field("ended_ms", it.ended);
    field("ended_why", it.ended_why);
    field("prior", it.prior);
    field("uptake", it.uptake);
    field("stages", it.stages);
    field("measurements", it.measurements);
    field("facts", it.facts);
}

}  // namespace gyled::storage
