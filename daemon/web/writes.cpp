#include <initializer_list>

#include "daemon/display/typed_moment.hpp"
#include "daemon/display/typed_value.hpp"
#include "daemon/web/body.hpp"
#include "sensors/units/units.hpp"

namespace gyled::web {

using json::Json;
using json::moment;

namespace {

using base::Quantity;
using base::Result;
using base::Unexpected;

constexpr std::size_t note_bytes_most = 500;
constexpr base::Duration clock_slack = std::chrono::minutes{5};

/// RFC 3339, Unix milliseconds, or as a person types it: "10:42", "20min ago".
std::optional<Timestamp> moment_of(const Json& at, const Backend& backend) {
    if (at.is_number_integer()) return parse_moment(at.dump());
    if (!at.is_string()) return std::nullopt;
    const std::string& text = at.get_ref<const std::string&>();
    if (const auto exact = parse_moment(text)) return exact;
    const auto typed = display::typed_moment(text, backend.display(), backend.now());
    return typed ? parse_moment(std::to_string(typed->time_since_epoch().count())) : std::nullopt;
}

/// "at": now when absent. Not in the future, give or take a clock.
Result<Timestamp, Reply> moment_in(const Json& body, const Backend& backend) {
    const Timestamp now = backend.now();
    if (!body.contains("at")) return now;
    const auto parsed = moment_of(body["at"], backend);
    if (!parsed)
        return Unexpected{bad_body(
            "'at' must be a moment: \"10:42\", \"20min ago\", RFC 3339 text, or Unix milliseconds.")};
    if (*parsed > now + clock_slack) return Unexpected{bad_body("'at' lies in the future.")};
    return *parsed;
}

/// Text by a person; `fallback` when absent.
Result<std::string, Reply> note_in(const Json& body, const std::string& key, std::string fallback) {
    if (!body.contains(key)) return fallback;
    if (!body[key].is_string()) return Unexpected{bad_body("'" + key + "' must be text.")};
    std::string note = body[key].get<std::string>();
    if (note.size() > note_bytes_most) return Unexpected{bad_body("'" + key + "' is longer than 500 bytes.")};
    return note;
}

/// "confirm": the person has seen the doubtful findings and confirms the command all the same.
Result<cellar::Consent, Reply> consent_in(const Json& body) {
    if (!body.contains("confirm")) return cellar::Consent::none;
    if (!body["confirm"].is_boolean()) return Unexpected{bad_body("'confirm' must be true or false.")};
    return body["confirm"].get<bool>() ? cellar::Consent::given : cellar::Consent::none;
}
/// The same in the address, for a body that is a file: ?confirm=true.
Result<cellar::Consent, Reply> consent_in(const std::map<std::string, std::string>& query) {
    const auto found = query.find("confirm");
    if (found == query.end() || found->second == "false") return cellar::Consent::none;
    if (found->second == "true") return cellar::Consent::given;
    return Unexpected{problem(400, "Bad parameter", "The parameter 'confirm' must be true or false.")};
}

/// Where a person goes in the plan. Said twice by a nervous thumb, "next" would skip a stage; so it must be
/// said in full, one way.
struct Step {
    batch::Move move = batch::Move::next;
    std::optional<std::size_t> index{};
};
Result<Step, Reply> step_in(const Json& body) {
    using enum batch::Move;
    if (body.count("next") + body.count("skip") + body.count("back") + body.count("index") != 1)
        return Unexpected{
            bad_body("Send one of {\"next\": true}, {\"skip\": true}, {\"back\": true} and {\"index\": 2}.")};
    for (const auto& [key, move] : {std::pair{"next", next}, {"skip", skip}, {"back", back}}) {
        if (!body.contains(key)) continue;
        if (body[key] != true) return Unexpected{bad_body("'" + std::string{key} + "' can only be true.")};
        return Step{move};
    }
    if (!body["index"].is_number_unsigned())
        return Unexpected{bad_body("'index' must be a whole number, from 0 for the first stage.")};
    return Step{next, body["index"].get<std::size_t>()};
}

/// What can be read by hand and typed.
Result<Quantity, Reply> quantity_in(const Json& body) {
    const auto quantity = body.contains("quantity") && body["quantity"].is_string()
                              ? base::quantity_named(body["quantity"].get<std::string>())
                              : std::nullopt;
    if (quantity && (base::is_measured(*quantity) || *quantity == Quantity::co2_volumes ||
                     *quantity == Quantity::purge_cycles || *quantity == Quantity::forced_final_gravity))
        return *quantity;
    return Unexpected{bad_body("'quantity' must name something measured, such as gravity or co2_volumes.")};
}

/// "value", in the canonical unit or in "unit".
Result<double, Reply> number_in(const Json& body, Quantity quantity) {
    if (!body["value"].is_number()) return Unexpected{bad_body("'value' must be a number.")};
    double value = body["value"].get<double>();
    if (body.contains("unit")) {
        if (!body["unit"].is_string()) return Unexpected{bad_body("'unit' must be text.")};
        const std::string unit = body["unit"].get<std::string>();
        if (!sensors::unit_fits(quantity, unit))
            return Unexpected{bad_body("'" + unit.substr(0, 20) + "' is not a unit of this quantity.")};
        value = sensors::to_canonical(quantity, unit, value);
    }
    if (!std::isfinite(value)) return Unexpected{bad_body("'value' must be a finite number.")};
    return value;
}

/// "text", as a person typed it ("12P"), or "value" with its "unit".
Result<double, Reply> measured_in(const Json& body, Quantity quantity, const Backend& backend) {
    if (body.contains("text") == body.contains("value"))
        return Unexpected{bad_body("Send either {\"text\": \"12P\"} or {\"value\": 1.048}.")};
    if (body.contains("value")) return number_in(body, quantity);
    if (!body["text"].is_string()) return Unexpected{bad_body("'text' must be text.")};
    auto typed =
        display::typed_value(body["text"].get_ref<const std::string&>(), quantity, backend.display());
    if (!typed) return Unexpected{problem(422, "Not understood", typed.error())};
    return typed->canonical;
}

/// The body of a correction, key by key; the first mistake is kept.
class Corrections {
public:
    Corrections(const Json& body, const Backend& backend) : body_{body}, backend_{backend} {}

    void text(const char* key, std::optional<std::string>& target) {
        if (const auto* given = given_text(key)) target = *given;
    }
    void gravity(const char* key, std::optional<double>& target) { quantity(key, Quantity::gravity, target); }
    void quantity(const char* key, Quantity quantity, std::optional<double>& target) {
        if (const auto* given = given_text(key))
            take(display::typed_value(*given, quantity, backend_.display()), target);
    }
    void volume(const char* key, std::optional<double>& target) {
        if (const auto* given = given_text(key))
            take(display::typed_amount(*given, display::Amount::volume, backend_.display()), target);
    }
    void culture(const char* key, std::optional<base::Culture>& target) {
        const auto* given = given_text(key);
        if (given == nullptr) return;
        target = base::culture_named(*given);
        if (!target) refuse("'culture' is ale, lager or mixed.");
    }
    void moment(const char* key, std::optional<Timestamp>& target) {
        const auto* given = given_text(key);
        if (given == nullptr) return;
        target = past_moment(*given);
        if (!target) refuse("'" + std::string{key} + "' must be RFC 3339 text, not in the future.");
    }
    /// [{"stage": 1, "at": "..."}]: the number in the batch's record, from 1.
    void stage_times(const char* key, std::vector<cellar::CorrectBatch::StageTime>& target) {
        if (!body_.contains(key)) return;
        const Json& all = body_[key];
        if (!all.is_array()) return refuse("'stage_times' must be a list.");
        for (const Json& one : all) stage_time(one, target);
    }

    [[nodiscard]] const std::optional<std::string>& mistake() const { return mistake_; }

private:
    const std::string* given_text(const char* key) {
        if (!body_.contains(key)) return nullptr;
        if (body_[key].is_string() && body_[key].get_ref<const std::string&>().size() <= note_bytes_most)
            return &body_[key].get_ref<const std::string&>();
        refuse("'" + std::string{key} + "' must be text, as you would type it.");
        return nullptr;
    }
    void take(const Result<display::TypedValue, std::string>& typed, std::optional<double>& target) {
        if (typed)
            target = typed->canonical;
        else
            refuse(typed.error());
    }
    void stage_time(const Json& one, std::vector<cellar::CorrectBatch::StageTime>& target) {
        const bool is_complete = one.is_object() && one.contains("stage") &&
                                 one["stage"].is_number_unsigned() && one["stage"] != 0 &&
                                 one.contains("at") && one["at"].is_string();
        const auto at = is_complete ? past_moment(one["at"].get<std::string>()) : std::nullopt;
        if (!at) return refuse("A stage time is {\"stage\": 1, \"at\": RFC 3339 text, not in the future}.");
        target.push_back({one["stage"].get<std::size_t>() - 1, *at});
    }
    [[nodiscard]] std::optional<Timestamp> past_moment(const std::string& text) const {
        const auto at = moment_of(text, backend_);
        return at && *at <= backend_.now() + clock_slack ? at : std::nullopt;
    }
    void refuse(std::string why) {
        if (!mistake_) mistake_ = std::move(why);
    }

    const Json& body_;
    const Backend& backend_;
    std::optional<std::string> mistake_;
};

}  // namespace

Reply start_batch(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    std::string toml;
    Timestamp at = call.backend.now();
    auto consent = consent_in(call.query);
    if (has_type(call.request, "application/toml")) {
        toml = call.request.body;
    } else {
        const auto body = body_object(call, {"toml", "at", "confirm"});
        if (!body) return body.error();
        if (!body->contains("toml") || !(*body)["toml"].is_string())
            return bad_body("Send a batch file as application/toml, or as JSON {\"toml\": \"...\"}.");
        toml = (*body)["toml"].get<std::string>();
        const auto given = moment_in(*body, call.backend);
        if (!given) return given.error();
        at = *given;
        if (body->contains("confirm")) consent = consent_in(*body);
    }
    if (!consent) return consent.error();
    auto plan = call.backend.batch_plan(toml);
    if (!plan) return problem(plan.error());
    batch::Plan read = *std::move(plan);
    if (read.vessel.empty()) read.vessel = call.id;
    if (read.vessel != call.id)
        return problem(409, "Another vessel",
                       "The batch file is for '" + read.vessel + "', the address says '" + call.id + "'.");
    return carried_out(call, cellar::StartBatch{std::move(read), at, {}, *consent});
}

Reply end_batch(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto body = body_object(call, {"why", "at"});
    if (!body) return body.error();
    const auto at = moment_in(*body, call.backend);
    if (!at) return at.error();
    const auto why = note_in(*body, "why", "by hand");
    if (!why) return why.error();
    return carried_out(call, cellar::EndBatch{call.id, *at, *why});
}

Reply enter_stage(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto body = body_object(call, {"next", "skip", "back", "index", "why", "at", "confirm"});
    if (!body) return body.error();
    const auto at = moment_in(*body, call.backend);
    if (!at) return at.error();
    const auto why = note_in(*body, "why", "by hand");
    if (!why) return why.error();

    const auto consent = consent_in(*body);
    if (!consent) return consent.error();

    const auto step = step_in(*body);
    if (!step) return step.error();
    return carried_out(call, cellar::EnterStage{call.id, *at, step->index, *why, *consent, step->move});
}

Reply undo_step(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto body = body_object(call, {});
    if (!body) return body.error();
    return carried_out(call, cellar::UndoStep{call.id, call.backend.now()});
}

Reply take_measurement(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto body = body_object(call, {"quantity", "text", "value", "unit", "at", "note"});
    if (!body) return body.error();
    const auto at = moment_in(*body, call.backend);
    if (!at) return at.error();
    const auto note = note_in(*body, "note", "");
    if (!note) return note.error();
    const auto quantity = quantity_in(*body);
    if (!quantity) return quantity.error();
    const auto value = measured_in(*body, *quantity, call.backend);
    if (!value) return value.error();
    return carried_out(call, cellar::Measure{call.id, {*quantity, *value, *at, *note}});
}

Reply undo_measurement(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    return carried_out(call, cellar::UndoMeasurement{call.id, call.backend.now(), std::nullopt});
}

Reply correct_batch(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto body =
        body_object(call, {"name", "original_gravity", "expected_final_gravity", "volume", "target_co2",
                           "culture", "culture_name", "started", "stage_times", "confirm"});
    if (!body) return body.error();
    const auto consent = consent_in(*body);
    if (!consent) return consent.error();
    if (body->size() == body->count("confirm"))
        return bad_body("Say what to correct, as in {\"original_gravity\": \"1.048\"}.");
    cellar::CorrectBatch correction;
    correction.vessel = call.id;
    correction.at = call.backend.now();
    correction.consent = *consent;
    Corrections given{*body, call.backend};
    given.text("name", correction.name);
    given.gravity("original_gravity", correction.original_gravity);
    given.gravity("expected_final_gravity", correction.expected_final_gravity);
    given.volume("volume", correction.volume_l);
    given.quantity("target_co2", Quantity::co2_volumes, correction.target_co2_volumes);
    given.culture("culture", correction.culture);
    given.text("culture_name", correction.culture_name);
    given.moment("started", correction.started);
    given.stage_times("stage_times", correction.stage_times);
    if (given.mistake()) return problem(422, "Not understood", *given.mistake());
    return carried_out(call, std::move(correction));
}

Reply acknowledge(const Call& call) {
    const auto body = body_object(call, {"alarm", "at"});
    if (!body) return body.error();
    if (!body->contains("alarm") || !(*body)["alarm"].is_string() || (*body)["alarm"] == "")
        return bad_body("'alarm' must be the id of an alarm, as in /api/alarms.");
    const auto at = moment_in(*body, call.backend);
    if (!at) return at.error();
    return carried_out(call, cellar::Acknowledge{(*body)["alarm"].get<std::string>(), *at});
}

Reply shelve(const Call& call) {
    const auto body = body_object(call, {"alarm", "until", "reason"});
    if (!body) return body.error();
    if (!body->contains("alarm") || !(*body)["alarm"].is_string() || (*body)["alarm"] == "")
        return bad_body("'alarm' must be the id of an alarm, as in /api/alarms.");
    const auto reason = note_in(*body, "reason", "");
    if (!reason) return reason.error();
    std::optional<Timestamp> until;
    if (body->contains("until") && (*body)["until"].is_string())
        until = parse_moment((*body)["until"].get_ref<const std::string&>());
    const Timestamp now = call.backend.now();
    if (!until || *until <= now) return bad_body("'until' must be RFC 3339 text, after now.");
    return carried_out(call, cellar::Shelve{(*body)["alarm"].get<std::string>(), now, *until, *reason});
}

}  // namespace gyled::web
