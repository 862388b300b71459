// What if? And how does the beer get to its carbonation?

#include <cmath>

#include "daemon/batch/carbonation_plan.hpp"
#include "daemon/batch/what_if.hpp"
#include "daemon/display/coming_moment.hpp"
#include "daemon/display/typed_value.hpp"
#include "daemon/json/views.hpp"
#include "daemon/web/call.hpp"

namespace gyled::web {
namespace {

using base::Quantity;
using base::Unexpected;
using estimation::Foreseen;
using estimation::Hypothesis;
using namespace std::chrono_literals;

constexpr base::Duration usual_span = 24h * 7, longest_span = 24h * 21;
constexpr base::Duration told_every = 6h;  ///< of a course that is shown

Reply bad(std::string_view name, const std::string& why) {
    return problem(400, "Bad parameter", "'" + std::string{name} + "': " + why);
}

const std::string* given(const Call& call, const char* name) {
    const auto found = call.query.find(name);
    return found == call.query.end() ? nullptr : &found->second;
}

/// "4C@Fri20:00", or "4C": from now on.
struct Timed {
    std::string value;
    Timestamp from;
};
base::Result<Timed, std::string> timed(const std::string& text, const Call& call) {
    const auto at = text.find('@');
    if (at == std::string::npos) return Timed{text, call.backend.now()};
    const auto from = display::coming_moment(text.substr(at + 1), call.backend.display(), call.backend.now());
    if (!from) return Unexpected{from.error()};
    return Timed{text.substr(0, at), *from};
}

std::vector<std::string> split(const std::string& text) {
    std::vector<std::string> out(1);
    for (const char c : text)
        if (c == ' ' || c == ',')
            out.emplace_back();
        else
            out.back() += c;
    std::erase_if(out, [](const std::string& part) { return part.empty(); });
    return out;
}

/// What the query puts together, item by item; the first mistake is kept.
class Asked {
public:
    Asked(const Call& call, Timestamp now) : call_{call} { hypothesis_.until = now + usual_span; }

    [[nodiscard]] base::Result<Hypothesis, Reply> hypothesis() {
        valve();
        temperatures();
        span();
        if (mistake_) return Unexpected{*std::move(mistake_)};
        return hypothesis_;
    }

private:
    void refuse(std::string_view name, const std::string& why) {
        if (!mistake_) mistake_ = bad(name, why);
    }

    void valve() {
        const std::string* const word = given(call_, "head_space");
        const std::string* const set = given(call_, "set");
        if (word == nullptr) {
            if (set != nullptr) refuse("set", "say which valve: 'head_space' is supplied or spunded.");
            return;
        }
        const auto head_space = base::head_space_named(*word);
        if (!head_space) return refuse("head_space", "one of vented, spunded, sealed, supplied.");
        Hypothesis::Valve valve{call_.backend.now(), *head_space, std::nullopt};
        if (const std::string* const from = given(call_, "at")) {
            const auto moment = display::coming_moment(*from, call_.backend.display(), call_.backend.now());
            if (!moment) return refuse("at", moment.error());
            valve.from = *moment;
        }
        if (set != nullptr) {
            const auto kpa = display::typed_value(*set, Quantity::head_pressure, call_.backend.display());
            if (!kpa) return refuse("set", kpa.error());
            valve.set_kpa = kpa->canonical;
        }
        hypothesis_.valves = {valve};
    }

    void temperatures() {
        const std::string* const text = given(call_, "temperature");
        if (text == nullptr) return;
        for (const std::string& one : split(*text)) {
            const auto when = timed(one, call_);
            if (!when) return refuse("temperature", when.error());
            const auto celsius =
                display::typed_value(when->value, Quantity::beer_temperature, call_.backend.display());
            if (!celsius) return refuse("temperature", celsius.error());
            hypothesis_.warmths.push_back({when->from, celsius->canonical});
        }
        std::ranges::stable_sort(hypothesis_.warmths, {}, &Hypothesis::Warmth::from);
    }

    void span() {
        const std::string* const text = given(call_, "for");
        if (text == nullptr) return;
        const auto span = display::typed_span(*text);
        if (!span || *span < 1h || *span > longest_span)
            return refuse("for", "from 1h to 21d, as in 36h or 7d.");
        hypothesis_.until = call_.backend.now() + *span;
    }

    const Call& call_;
    Hypothesis hypothesis_;
    std::optional<Reply> mistake_;
};

Json foreseen_json(const Foreseen& f, const display::Display& display) {
    Json out{{"at", json::moment(f.at)},
             {"at_text", display.local(f.at)},
             {"beer_temperature", json::value_json(Quantity::beer_temperature, f.beer_c, display)}};
    for (const auto& [q, estimate] : f.estimates)
        out[std::string{base::name(q)}] = json::estimate_json(q, estimate, display);
    return out;
}

/// Its first and last point, and some between.
Json course_json(const std::vector<Foreseen>& course, const display::Display& display) {
    Json out = Json::array();
    for (std::size_t i = 0; i < course.size(); ++i)
        if (i == 0 || i + 1 == course.size() ||
            course[i].at.time_since_epoch() % told_every == base::Duration{})
            out.push_back(foreseen_json(course[i], display));
    return out;
}

Json way_json(const std::optional<batch::CarbonationWay>& way, const display::Display& display) {
    if (!way) return nullptr;
    Json steps = Json::array();
    for (const batch::CarbonationStep& step : way->steps)
        steps.push_back(
            {{"at", json::moment(step.at)}, {"at_text", display.local(step.at)}, {"text", step.text}});
    return {{"steps", steps},
            {"ready", json::estimate_json(Quantity::carbonated_time, way->ready, display)},
            {"overshoot", way->overshoot},
            {"course", course_json(way->course, display)}};
}

/// The vessel and a copy of what is believed of it; else why not.
struct Believed {
    cellar::VesselView view;
    estimation::Foresight belief;
};
base::Result<Believed, Reply> believed(const Call& call) {
    const auto view = call.backend.vessel(call.id);
    if (!view) return Unexpected{no_such_vessel(call)};
    if (!view->batch) return Unexpected{problem(409, "No batch", "No batch is in " + view->spec.name + ".")};
    auto belief = call.backend.foresight(call.id);
    if (!belief)
        return Unexpected{problem(409, "Not known",
                                  "Nothing is believed of this batch yet, or belief is being made anew: it "
                                  "needs a stage from ferment on, and readings.")};
    return Believed{*view, *std::move(belief)};
}

}  // namespace

Handled what_if_answer(const Call& call) {
    auto known = believed(call);
    if (!known) return known.error();
    const auto hypothesis = Asked{call, call.backend.now()}.hypothesis();
    if (!hypothesis) return hypothesis.error();
    return [known = *std::move(known), hypothesis = *hypothesis,
            display = call.backend.display()](const History&) {
        const auto answer = batch::what_if(known.belief, hypothesis, known.view.spec, display);
        return json_reply({{"schema", 1},
                           {"vessel", known.view.spec.id},
                           {"believed_at", json::moment(known.belief.at())},
                           {"refused", answer.refused},
                           {"course", course_json(answer.course, display)},
                           {"remarks", answer.remarks}});
    };
}

Handled carbonation_answer(const Call& call) {
    auto known = believed(call);
    if (!known) return known.error();
    batch::CarbonationAsked asked;
    asked.target_volumes = known->view.batch->plan.target_co2_volumes.value_or(0);
    if (const std::string* const text = given(call, "target")) {
        const auto typed = display::typed_value(*text, Quantity::co2_volumes, call.backend.display());
        if (!typed) return bad("target", typed.error());
        asked.target_volumes = typed->canonical;
    }
    if (!(asked.target_volumes > 0))
        return bad("target", "the batch has none: say how many volumes, as in 2.4.");
    if (const std::string* const text = given(call, "temperature")) {
        const auto typed = display::typed_value(*text, Quantity::beer_temperature, call.backend.display());
        if (!typed) return bad("temperature", typed.error());
        if (typed->canonical < -2 || typed->canonical > 30) return bad("temperature", "from -2 to 30 degC.");
        asked.celsius = typed->canonical;
    }
    return [known = *std::move(known), asked, display = call.backend.display()](const History&) {
        const auto plan = batch::plan_carbonation(asked, known.belief, known.view.spec, display);
        return json_reply({{"schema", 1},
                           {"vessel", known.view.spec.id},
                           {"target", json::value_json(Quantity::co2_volumes, asked.target_volumes, display)},
                           {"set_and_wait", way_json(plan.set_and_wait, display)},
                           {"faster", way_json(plan.faster, display)},
                           {"spunding", plan.spunding},
                           {"refused", plan.refused},
                           {"cautions", plan.cautions}});
    };
}

}  // namespace gyled::web
