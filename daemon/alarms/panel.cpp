#include "daemon/alarms/panel.hpp"

#include <algorithm>

#include "daemon/alarms/approach.hpp"
#include "daemon/alarms/judging.hpp"
#include "daemon/alarms/life.hpp"
#include "daemon/alarms/rule.hpp"
#include "daemon/alarms/rules.hpp"

namespace gyled::alarms {
namespace {

using namespace std::chrono_literals;

constexpr Duration safety_shelf_longest = 24h;
constexpr Duration shelf_longest = 24h * 30;
/// Information that was recorded silently is told late up to this age; after that it is history.
constexpr Duration news_lasts = 12h;

/// A rule as this vessel uses it.
struct InUse {
    const Rule* rule;
    const RuleTuning* own;  ///< a person's own threshold, owned by the panel; else null
    std::string name;
    Priority priority;
    bool priority_tuned = false;
    Duration on_delay, off_delay;
    double deadband;
};

void tune(InUse& use, const RuleTuning& tuning) {
    if (tuning.priority) {
        use.priority = *tuning.priority;
        use.priority_tuned = true;
    }
    use.on_delay = tuning.on_delay.value_or(use.on_delay);
    use.off_delay = tuning.off_delay.value_or(use.off_delay);
    use.deadband = tuning.deadband.value_or(use.deadband);
}

/// The priority of what was found. A step may only be more urgent than the person asked for.
Priority priority_of(const InUse& use, const Finding& finding) {
    const Priority found = finding.urgency.value_or(use.priority);
    if (!use.priority_tuned) return found;
    return use.rule->escalates && finding.urgency ? std::max(found, use.priority) : use.priority;
}

std::string id_of(const Transition& alarm) {
    std::string id = (alarm.vessel.empty() ? "watch" : alarm.vessel) + "/" + alarm.rule;
    if (!alarm.subject.empty()) id += "/" + alarm.subject;
    return id + "/" +
           std::to_string(
               std::chrono::floor<std::chrono::seconds>(alarm.raised_at).time_since_epoch().count());
}

bool more_urgent(const Occurrence& a, const Occurrence& b) {
    if (a.last.priority != b.last.priority) return a.last.priority > b.last.priority;
    if (a.last.raised_at != b.last.raised_at) return a.last.raised_at < b.last.raised_at;
    return a.last.alarm < b.last.alarm;
}

}  // namespace

struct AlarmPanel::State {
    struct Track : Occurrence {
        Timestamp breached_since;
        bool seen = false;  ///< by the judgement under way
    };

    std::string vessel;
    std::vector<RuleTuning> tunings;
    display::Display display;
    std::vector<InUse> rules;
    std::vector<Track> tracks;
    Approach temperature, pressure;
    std::optional<Timestamp> listening_since;
    // of the judgement under way
    Audience audience = Audience::everyone;
    std::vector<Transition> told;

    void choose_rules();
    void judge(const Situation& now);
    void consider(const InUse& use, const Scene& scene, std::string_view subject);
    void live_on(Track& track, const InUse& use, const Scene& scene, const Finding& finding);
    void fire(Track& track, Event event, const InUse& use, const Scene& scene, const Finding& finding);
    void ring(Track& track, const InUse& use, const Scene& scene, const Finding& finding);
    void say_over(Track& track, const InUse& use, const Scene& scene, const Finding& finding, bool dropped);
    void ring_late(Track& track, const InUse& use, const Scene& scene, const Finding& finding);
    void clear_what_no_rule_knows(Timestamp at);
    [[nodiscard]] bool is_explained(const Track& track, const InUse& use) const;
    [[nodiscard]] bool is_information(const Occurrence& standing) const;
    [[nodiscard]] static bool is_old_news(const InUse& use, const Scene& scene, const Finding& finding);
    [[nodiscard]] const InUse* rule_named(std::string_view name) const;
    [[nodiscard]] bool on_its_way(Approach& approach, const Situation& now, std::string_view rule);
    Track* find(std::string_view rule, std::string_view subject);
    Track* standing_with_id(const std::string& alarm);
};

void AlarmPanel::State::choose_rules() {
    const auto meant = [&](const RuleTuning& tuning, std::string_view rule) {
        return tuning.rule == rule && (!tuning.vessel || *tuning.vessel == vessel) && check(tuning).empty();
    };
    for (const Rule* rule : built_in_rules()) {
        if ((rule->about == Rule::About::watch) != vessel.empty()) continue;
        InUse use{.rule = rule,
                  .own = nullptr,
                  .name = std::string(rule->info.name),
                  .priority = rule->info.priority,
                  .on_delay = rule->on_delay,
                  .off_delay = rule->off_delay,
                  .deadband = rule->deadband};
        bool enabled = true;
        for (const bool particular : {false, true})  // what is said for one vessel beats what is said for all
            for (const RuleTuning& tuning : tunings)
                if (meant(tuning, use.name) && tuning.vessel.has_value() == particular) {
                    tune(use, tuning);
                    enabled = tuning.enabled.value_or(enabled);
                }
        if (enabled) rules.push_back(std::move(use));
    }
    if (vessel.empty()) return;
    for (const RuleTuning& own : tunings) {
        if (!own.quantity || !meant(own, own.rule) || !own.enabled.value_or(true) || rule_named(own.rule))
            continue;
        InUse use{.rule = &own_threshold_rule(),
                  .own = &own,
                  .name = own.rule,
                  .priority = own_threshold_rule().info.priority,
                  .on_delay = own_threshold_rule().on_delay,
                  .off_delay = own_threshold_rule().off_delay,
                  .deadband = usual_deadband(*own.quantity)};
        tune(use, own);
        rules.push_back(std::move(use));
    }
}

const InUse* AlarmPanel::State::rule_named(std::string_view name) const {
    for (const InUse& use : rules)
        if (use.name == name) return &use;
    return nullptr;
}

bool AlarmPanel::State::is_information(const Occurrence& standing) const {
    const InUse* use = rule_named(standing.last.rule);
    return use != nullptr && use->rule->information;
}

AlarmPanel::State::Track* AlarmPanel::State::find(std::string_view rule, std::string_view subject) {
    for (Track& track : tracks)
        if (track.last.rule == rule && track.last.subject == subject) return &track;
    return nullptr;
}

AlarmPanel::State::Track* AlarmPanel::State::standing_with_id(const std::string& alarm) {
    for (Track& track : tracks)
        if (is_standing(track.state) && track.last.alarm == alarm && !is_information(track)) return &track;
    return nullptr;
}

bool AlarmPanel::State::on_its_way(Approach& approach, const Situation& now, std::string_view rule) {
    const bool warmth = &approach == &temperature;
    const auto& band = warmth ? now.temperature_band_c : now.pressure_band_kpa;
    if (!band || !now.stage || !now.stage_since) return false;
    const auto latest =
        current(now, warmth ? base::Quantity::beer_temperature : base::Quantity::head_pressure);
    const Track* track = find(rule, "");
    return approach.on_its_way({.at = now.at,
                                .stage = *now.stage,
                                .stage_since = *now.stage_since,
                                .band = *band,
                                .value = latest ? std::optional{latest->value} : std::nullopt,
                                .moving_away = warmth ? 2.0 : 10.0,
                                .patience = warmth ? time_to_reach_temperature(*now.stage) : Duration{24h},
                                .alarm_stands = track != nullptr && is_standing(track->state) &&
                                                track->last.raised_at >= *now.stage_since});
}

void AlarmPanel::State::judge(const Situation& now) {
    if (!now.broker_connected)
        listening_since.reset();
    else if (!listening_since)
        listening_since = now.at;
    Scene scene{.now = now,
                .listening_since = listening_since.value_or(now.at),
                .temperature_on_its_way = on_its_way(temperature, now, "temperature_out_of_band"),
                .pressure_on_its_way = on_its_way(pressure, now, "pressure_out_of_band")};
    for (Track& track : tracks) track.seen = false;
    for (const InUse& use : rules) {
        scene.deadband = use.deadband;
        scene.own = use.own;
        scene.sensor = nullptr;
        if (use.rule->about != Rule::About::each_sensor) {
            consider(use, scene, "");
            continue;
        }
        for (const SensorSilence& sensor : now.sensors) {
            scene.sensor = &sensor;
            consider(use, scene, sensor.sensor);
        }
    }
    clear_what_no_rule_knows(now.at);
    std::erase_if(tracks, [](const Track& track) { return track.state == alarms::State::normal; });
}

void AlarmPanel::State::consider(const InUse& use, const Scene& scene, std::string_view subject) {
    const Finding finding = use.rule->judge(scene);
    Track* track = find(use.name, subject);
    if (track == nullptr) {
        if (finding.verdict != Verdict::beyond) return;
        track = &tracks.emplace_back();
        track->last.vessel = vessel;
        track->last.rule = use.name;
        track->last.subject = subject;
    }
    track->seen = true;
    // What phones were told stands until a judgement that everyone may hear takes it back.
    if (audience == Audience::nobody && track->told) return;
    live_on(*track, use, scene, finding);
}

void AlarmPanel::State::live_on(Track& track, const InUse& use, const Scene& scene, const Finding& finding) {
    const auto happens = [&](Event event) { fire(track, event, use, scene, finding); };
    if (track.shelved_until && scene.now.at >= *track.shelved_until && finding.verdict != Verdict::dropped)
        happens(finding.verdict == Verdict::within ? Event::lapsed : Event::unshelved);
    switch (finding.verdict) {
        case Verdict::unknown:
            return;
        case Verdict::dropped:
            return happens(Event::dropped);
        case Verdict::eased:
            return happens(Event::eased);
        case Verdict::within:
            happens(Event::returned);
            if (track.state == alarms::State::returning && finding.at - track.since >= use.off_delay)
                happens(Event::settled);
            return;
        case Verdict::beyond:
            break;
    }
    if (finding.value) {
        const double before = track.worst.value_or(*finding.value);
        track.worst = finding.low_side ? std::min(before, *finding.value) : std::max(before, *finding.value);
    }
    happens(Event::breached);
    if (track.state == alarms::State::pending && finding.at - track.since >= use.on_delay)
        happens(Event::held);
    if (use.rule->escalates && is_standing(track.state) && priority_of(use, finding) > track.last.priority)
        happens(Event::worsened);
    ring_late(track, use, scene, finding);
}

void AlarmPanel::State::fire(Track& track, Event event, const InUse& use, const Scene& scene,
                             const Finding& finding) {
    const Row row = step(track.state, event);
    if (row.to != track.state) {
        if (track.state == alarms::State::normal) track.breached_since = finding.at;
        track.state = row.to;
        track.since = finding.at;
    }
    if (track.state != alarms::State::shelved) track.shelved_until.reset();
    switch (row.action) {
        case Action::none:
        case Action::note:
            return;
        case Action::resume:
            if (track.acknowledged) track.state = alarms::State::acknowledged;
            return;
        case Action::ring:
            return ring(track, use, scene, finding);
        case Action::say_over:
            return say_over(track, use, scene, finding, event == Event::dropped);
    }
}

bool AlarmPanel::State::is_explained(const Track& track, const InUse& use) const {
    for (const Track& other : tracks) {
        if (&other == &track || !is_standing(other.state)) continue;
        if (!use.rule->explained_by.empty() && other.last.rule == use.rule->explained_by &&
            other.last.priority >= track.last.priority)
            return true;
        // Sensors that fell silent at once are one device or one network: one cause, one ring.
        if (use.rule->about == Rule::About::each_sensor && other.last.rule == track.last.rule && other.told &&
            other.last.raised_at == track.last.raised_at)
            return true;
    }
    return false;
}

void AlarmPanel::State::ring(Track& track, const InUse& use, const Scene& scene, const Finding& finding) {
    Transition& last = track.last;
    if (last.alarm.empty()) {
        last.raised_at = scene.now.at;
        last.alarm = id_of(last);
    }
    last.state = alarms::State::raised;
    last.at = scene.now.at;
    last.value = finding.value;
    last.limit = finding.limit;
    if (finding.verdict == Verdict::beyond) {
        last.priority = priority_of(use, finding);
        Words words = use.rule->raised({.scene = scene,
                                        .finding = finding,
                                        .lasted = finding.at - track.breached_since,
                                        .worst = track.worst,
                                        .display = display});
        last.title = std::move(words.title);
        last.text = std::move(words.text);
    }
    track.acknowledged = false;
    last.rings =
        audience == Audience::everyone && !is_explained(track, use) && !is_old_news(use, scene, finding);
    track.told = track.told || last.rings;
    told.push_back(last);
}

/// Something that happened long ago and asks for nothing: imported history must not ring.
bool AlarmPanel::State::is_old_news(const InUse& use, const Scene& scene, const Finding& finding) {
    return finding.fact != nullptr && use.rule->information && scene.now.at - finding.fact->at > news_lasts;
}

void AlarmPanel::State::ring_late(Track& track, const InUse& use, const Scene& scene,
                                  const Finding& finding) {
    if (track.state != alarms::State::raised || track.told || audience == Audience::nobody) return;
    if (is_old_news(use, scene, finding)) return;
    if (!is_explained(track, use)) ring(track, use, scene, finding);
}

void AlarmPanel::State::say_over(Track& track, const InUse& use, const Scene& scene, const Finding& finding,
                                 bool dropped) {
    Transition& last = track.last;
    if (dropped && use.rule->information) return;  // its batch is over: old news, nothing to take back
    const Story story{.scene = scene,
                      .finding = finding,
                      .lasted = finding.at - track.breached_since,
                      .worst = track.worst,
                      .display = display};
    Words words;
    if (dropped) {
        words.title = headline(who(scene), ": " + spoken(use.name) + " no longer applies");
        words.text = "The alarm about " + spoken(use.name) + " ended with its stage or batch.";
    } else {
        words = use.rule->over(story);
    }
    last.state = alarms::State::normal;
    last.at = scene.now.at;
    if (finding.value) last.value = finding.value;
    last.title = std::move(words.title);
    last.text = std::move(words.text);
    last.rings = track.told && !(use.rule->information && is_explained(track, use));
    told.push_back(last);
}

void AlarmPanel::State::clear_what_no_rule_knows(Timestamp at) {
    for (Track& track : tracks) {
        if (track.seen) continue;
        if (is_standing(track.state)) {
            track.last.state = alarms::State::normal;
            track.last.at = at;
            track.last.rings = false;
            track.last.title = headline(spoken(track.last.rule), " is no longer watched");
            track.last.text = "The configuration has no such alarm any more.";
            told.push_back(track.last);
        }
        track.state = alarms::State::normal;
    }
}

AlarmPanel::AlarmPanel(std::string vessel, std::vector<RuleTuning> tunings, display::Display display)
    : state_{std::make_unique<State>()} {
    state_->vessel = std::move(vessel);
    state_->tunings = std::move(tunings);
    state_->display = std::move(display);
    state_->choose_rules();
}

AlarmPanel::~AlarmPanel() = default;
AlarmPanel::AlarmPanel(AlarmPanel&&) noexcept = default;
AlarmPanel& AlarmPanel::operator=(AlarmPanel&&) noexcept = default;

std::vector<Transition> AlarmPanel::judge(const Situation& situation, Audience audience) {
    state_->audience = audience;
    state_->told.clear();
    state_->judge(situation);
    return std::move(state_->told);
}

base::Result<Transition, std::string> AlarmPanel::acknowledge(const std::string& alarm, Timestamp at) {
    State::Track* track = state_->standing_with_id(alarm);
    if (track == nullptr) return base::Unexpected{"no alarm '" + alarm + "' stands"};
    const Row row = step(track->state, Event::acknowledged);
    if (row.action != Action::note || track->acknowledged)
        return base::Unexpected{"'" + alarm + "' is " + std::string(name(track->last.state)) + " already"};
    track->state = row.to;
    track->acknowledged = true;
    track->last.state = alarms::State::acknowledged;
    track->last.at = at;
    track->last.rings = false;
    return track->last;
}

base::Result<Transition, std::string> AlarmPanel::shelve(const std::string& alarm, Timestamp at,
                                                         Timestamp until, const std::string& reason) {
    State::Track* track = state_->standing_with_id(alarm);
    if (track == nullptr) return base::Unexpected{"no alarm '" + alarm + "' stands"};
    const InUse* use = state_->rule_named(track->last.rule);
    const bool safety = use != nullptr && use->rule->info.safety;
    if (until <= at) return base::Unexpected{std::string{"the end must lie after the beginning"}};
    if (const Duration longest = safety ? safety_shelf_longest : shelf_longest; until - at > longest)
        return base::Unexpected{"'" + track->last.rule + "' may be shelved for at most " +
                                display::duration_text(longest)};
    track->state = step(track->state, Event::shelved).to;
    track->since = at;
    track->shelved_until = until;
    track->last.state = alarms::State::shelved;
    track->last.at = at;
    track->last.rings = false;
    track->last.text =
        "Shelved until " + state_->display.local(until) + (reason.empty() ? "" : " (" + reason + ")") + ".";
    return track->last;
}

std::vector<Occurrence> AlarmPanel::standing() const {
    std::vector<Occurrence> out;
    for (const State::Track& track : state_->tracks)
        if (is_standing(track.state) && !state_->is_information(track)) out.push_back(track);
    std::sort(out.begin(), out.end(), more_urgent);
    return out;
}

std::vector<Occurrence> AlarmPanel::save() const {
    return {state_->tracks.begin(), state_->tracks.end()};
}

void AlarmPanel::restore(const std::vector<Occurrence>& saved) {
    state_->tracks.clear();
    for (const Occurrence& standing : saved) {
        if (standing.last.vessel != state_->vessel || standing.state == alarms::State::normal) continue;
        State::Track* track = state_->find(standing.last.rule, standing.last.subject);
        if (track == nullptr) track = &state_->tracks.emplace_back();
        static_cast<Occurrence&>(*track) = standing;
        track->breached_since = is_standing(standing.state) ? standing.last.raised_at : standing.since;
    }
}

Occurrence standing_from(const Transition& last) {
    return {.last = last,
            .state = last.state,
            .since = last.at,
            .told = last.state != State::raised || last.rings,
            .acknowledged = last.state == State::acknowledged,
            .shelved_until = {},
            .worst = last.value};
}

}  // namespace gyled::alarms
