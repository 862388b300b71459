#include "tests/web/fake/harbour_cellar.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace gyled::web {
namespace {

using base::Estimate;
using base::Quantity;
using namespace std::chrono_literals;

Timestamp day(double d) {
    return harbour_mild::start + base::hours(24 * d);
}

double seconds(double d) {
    return base::unix_seconds(day(d));
}

batch::Plan harbour_mild_plan() {
    using base::HeadSpace;
    using base::StageKind;
    using batch::StageEnd;
    batch::Plan plan;
    plan.name = "Harbour Mild";
    plan.vessel = "north";
    plan.volume_l = 21;
    plan.original_gravity = 1.041;
    plan.expected_final_gravity = 1.011;
    plan.culture_name = "cellar ale";
    plan.target_co2_volumes = 2.1;
    const auto stage = [&](StageKind kind, base::Band temperature_c, base::Band pressure_kpa,
                           HeadSpace head_space, std::optional<double> head_pressure_kpa,
                           batch::StageEnd::When ends) -> batch::StagePlan& {
        batch::StagePlan& s = plan.stages.emplace_back();
        s.kind = kind;
        s.temperature_c = temperature_c;
        s.pressure_kpa = pressure_kpa;
        s.head_space = head_space;
        s.head_pressure_kpa = head_pressure_kpa;
        s.end.when = ends;
        return s;
    };
    stage(StageKind::ferment, {18, 20.5}, {-2, 90}, HeadSpace::spunded, 75,
          batch::StageEnd::When::terminal_gravity)
        .start = day(0);
    stage(StageKind::rest, {19.5, 22}, {40, 90}, HeadSpace::spunded, 75, batch::StageEnd::When::time_in_band)
        .end.duration = 48h;
    stage(StageKind::crash, {1, 20}, {10, 90}, HeadSpace::sealed, {},
          batch::StageEnd::When::temperature_reached)
        .end.temperature_c = 3;
    stage(StageKind::carbonate, {1.5, 4}, {70, 100}, HeadSpace::supplied, 84,
          batch::StageEnd::When::carbonated);
    stage(StageKind::serve, {4, 8}, {60, 110}, HeadSpace::supplied, 80, batch::StageEnd::When::by_hand);
    return plan;
}

cellar::VesselView north() {
    cellar::VesselView v;
    v.spec.id = "north";
    v.spec.name = "North";
    v.spec.total_volume_l = 26;
    v.spec.working_pressure_kpa = 200;
    v.spec.relief_pressure_kpa = 180;
    v.spec.vacuum_limit_kpa = -5;
    v.at = harbour_mild::end;
    estimation::Fact started, finished;
    started.kind = estimation::FactKind::fermentation_started;
    started.at = day(0.6);
    started.evidence = "The gravity fell by 0.0014 in 9 h.";
    finished.kind = estimation::FactKind::fermentation_finished;
    finished.at = day(4.4);
    finished.evidence = "The gravity moved by less than 0.0003 in 24 h and lies where it was expected.";
    v.batch.emplace();
    v.batch->id = "harbour-mild-2026-03-01";
    v.batch->name = "Harbour Mild";
    v.batch->plan = harbour_mild_plan();
    v.batch->started = day(0);
    v.batch->stage_index = 3;
    v.batch->stage_since = day(8);
    v.batch->facts = {started, finished};
    v.batch->next_stage = base::StageKind::serve;
    v.batch->entered = {{0, day(0), "batch started", day(4.4), std::nullopt},
                        {1, day(4.6), "by hand", day(6.6), std::nullopt},
                        {2, day(6.7), "by hand", day(7.8), std::nullopt},
                        {3, day(8), "3.0 °C reached", std::nullopt}};
    const auto latest = [&](Quantity q, base::Duration ago) {
        v.latest[q] = {harbour_mild::measured(q, v.at - ago), v.at - ago, 45min};
    };
    latest(Quantity::beer_temperature, 2min);
    latest(Quantity::head_pressure, 1min);
    latest(Quantity::gravity, 12min);
    latest(Quantity::room_temperature, 3min);
    for (const Quantity q : base::all_quantities())
        if (const auto estimate = harbour_mild::estimated(q, v.at)) v.estimates[q] = *estimate;
    v.estimates[Quantity::final_gravity] = {1.0108, 1.0104, 1.0112};
    v.estimates[Quantity::apparent_attenuation] = {73.1, 71.9, 74.3};
    v.estimates[Quantity::real_attenuation] = {59.9, 58.9, 60.9};
    v.estimates[Quantity::alcohol_by_volume] = {3.97, 3.84, 4.1};
    v.estimates[Quantity::carbonated_time] = {seconds(13.4), seconds(12.9), seconds(14.6)};
    v.estimates[Quantity::pressure_headroom] = {97, 94, 100};
    v.estimates[Quantity::limit_time] = {std::numeric_limits<double>::infinity(),
                                         std::numeric_limits<double>::infinity(),
                                         std::numeric_limits<double>::infinity()};
    v.estimates_at = v.at - 1min;
    v.sentence =
        "Harbour Mild, carbonating at 2.5 °C: 2.00 of 2.10 volumes, ready about Sun 15 Mar 03:36; "
        "pressure well below the limit.";
    return v;
}

cellar::VesselView south() {
    cellar::VesselView v;
    v.spec.id = "south";
    v.spec.name = "South";
    v.spec.total_volume_l = 26;
    v.spec.working_pressure_kpa = 150;
    v.spec.relief_pressure_kpa = v.spec.weakest_fitting_kpa = 140;
    v.at = harbour_mild::end;
    batch::Plan plan = harbour_mild_plan();
    plan.name = "Breakwater Porter";
    plan.vessel = "south";
    plan.original_gravity = 1.052;
    plan.expected_final_gravity = 1.014;
    v.batch.emplace();
    v.batch->id = "breakwater-porter-2026-03-10";
    v.batch->name = plan.name;
    v.batch->plan = plan;
    v.batch->started = v.batch->stage_since = breakwater_porter::start;
    v.batch->next_stage = base::StageKind::rest;
    v.batch->entered = {{0, v.batch->started, "batch started", std::nullopt}};
    const auto latest = [&](Quantity q, Timestamp at) {
        v.latest[q] = {breakwater_porter::measured(q, at), at, 45min};
    };
    latest(Quantity::beer_temperature, v.at - 2min);
    latest(Quantity::head_pressure, v.at - 1min);
    latest(Quantity::gravity, breakwater_porter::last_gravity);
    for (const Quantity q : base::all_quantities())
        if (const auto estimate = breakwater_porter::estimated(q, v.at)) v.estimates[q] = *estimate;
    v.estimates[Quantity::final_gravity] = {1.0142, 1.0121, 1.0166};
    v.estimates[Quantity::finish_time] = {seconds(13.9), seconds(13.3), seconds(14.9)};
    v.estimates[Quantity::alcohol_by_volume] = {3.93, 3.7, 4.15};
    v.estimates[Quantity::apparent_attenuation] = {56.4, 52.9, 59.8};
    v.estimates[Quantity::pressure_headroom] = {21.6, 19.5, 23.7};
    v.estimates[Quantity::limit_time] = {seconds(12.15), seconds(12.11), seconds(12.22)};
    v.estimates_at = v.at - 1min;
    alarms::Transition rising;
    rising.alarm = "south/pressure_rising_to_limit/1773423000";
    rising.vessel = "south";
    rising.rule = "pressure_rising_to_limit";
    rising.state = alarms::AlarmState::raised;
    rising.priority = alarms::Priority::critical;
    rising.at = rising.raised_at = v.at - 30min;
    rising.title = "South: pressure heads for its limit";
    rising.text =
        "South is at 1.18 bar and rising 0.06 bar per hour: it would reach its limit of 1.40 bar at "
        "Fri 13 Mar 21:36.";
    rising.value = 118.4;
    rising.limit = 140.0;
    alarms::Transition silent = rising;
    silent.alarm = "south/sensor_silent/south_gravity/1773416400";
    silent.rule = "sensor_silent";
    silent.subject = "south_gravity";
    silent.priority = alarms::Priority::low;
    silent.at = silent.raised_at = v.at - 2h - 35min;
    silent.title = "South: gravity sensor silent";
    silent.text = "The gravity sensor of South has been silent since Fri 13 Mar 14:40.";
    silent.value = silent.limit = std::nullopt;
    v.alarms = {{rising, std::nullopt, rising.text, rising.value},
                {silent, std::nullopt, silent.text, silent.value}};
    v.sentence =
        "Breakwater Porter, fermenting at 20.1 °C: 1.022, done about Sun 15 Mar 15:36. "
        "Not safe to leave: the pressure would reach the limit at Fri 13 Mar 21:36.";
    return v;
}

sensors::SensorHealth sensor(std::string id, std::string vessel, Quantity q, const cellar::VesselView& view) {
    sensors::SensorHealth s;
    s.topic = "cellar/" + vessel + "/" + std::string{base::name(q)};
    s.id = std::move(id);
    s.vessel = std::move(vessel);
    s.quantity = q;
    s.accepted = 11'520;
    const auto latest = view.latest.find(q);
    if (latest != view.latest.end()) {
        s.last_at = latest->second.at;
        s.last_value = latest->second.value;
    }
    return s;
}

}  // namespace

HarbourCellar::HarbourCellar() : views{north(), south()} {
    sensor_health = {sensor("north_temperature", "north", Quantity::beer_temperature, views[0]),
                     sensor("north_gravity", "north", Quantity::gravity, views[0]),
                     sensor("north_pressure", "north", Quantity::head_pressure, views[0]),
                     sensor("south_temperature", "south", Quantity::beer_temperature, views[1]),
                     sensor("south_gravity", "south", Quantity::gravity, views[1]),
                     sensor("south_pressure", "south", Quantity::head_pressure, views[1])};
    sensor_health[1].rejected = {{"impossible_jump", 3}, {"out_of_range", 1}};
    sensor_health[1].last_reject = "1.094 is 0.08 above the last reading, 15 min ago";
    sensor_health[4].rejected = {{"not_a_number", 12}};
    sensor_health[4].last_reject = "expected a number at /sg, found string at byte 7: <b>low</b>";
    sensor_health[4].available = false;
    for (const cellar::StandingAlarm& alarm : views[1].alarms) alarm_log.push_back(alarm.last);
    alarms::Transition cool = views[1].alarms[0].last;
    cool.alarm = "north/temperature_out_of_band/1772900000";
    cool.vessel = "north";
    cool.rule = "temperature_out_of_band";
    cool.state = alarms::AlarmState::normal;
    cool.priority = alarms::Priority::medium;
    cool.raised_at = day(3.1);
    cool.at = day(3.25);
    cool.title = "North: back in its band";
    cool.text = "North is back between 18.0 and 20.5 °C after 3 h 36 min; it was 20.8 °C at the most.";
    alarm_log.push_back(cool);
}

std::optional<cellar::VesselView> HarbourCellar::vessel(const std::string& id) const {
    const auto found = std::ranges::find_if(views, [&](const auto& v) { return v.spec.id == id; });
    return found == views.end() ? std::nullopt : std::optional{*found};
}

cellar::VesselView& HarbourCellar::vessel(const std::string& id) {
    return *std::ranges::find_if(views, [&](const auto& v) { return v.spec.id == id; });
}

void HarbourCellar::read(const std::string& id, Quantity quantity, double value) {
    cellar::VesselView& view = vessel(id);
    view.at = clock;
    view.latest[quantity] = {value, clock, 45min};
    if (quantity == Quantity::gravity)
        view.estimates[Quantity::gravity_now] = {value, value - 0.0005, value + 0.0005};
}

void HarbourCellar::press(double share) {
    cellar::VesselView& view = vessel("north");
    const double limit_kpa = *view.spec.lowest_limit_kpa();
    const double kpa = limit_kpa * share;
    read("north", Quantity::head_pressure, kpa);
    view.estimates[Quantity::pressure_headroom] = {limit_kpa - kpa, limit_kpa - kpa - 1, limit_kpa - kpa + 1};
    const auto bar = [&](double value) { return shown_as.text(Quantity::head_pressure, value); };
    const std::string text =
        "Head pressure is " + bar(kpa) + "; the relief valve is set to " + bar(limit_kpa) + ".";
    view.sentence =
        "Harbour Mild, carbonate, day 13: 1.011 SG (73 % attenuated), 2.00 vol of CO2, 2.5 °C. Head "
        "pressure " +
        bar(kpa) + ", " + bar(std::abs(limit_kpa - kpa)) + (share < 1 ? " below" : " ABOVE") +
        " the limit. 1 alarm standing.";
    if (view.alarms.empty()) {
        alarms::Transition near;
        near.alarm = "north/pressure_near_limit/1773424000";
        near.vessel = "north";
        near.rule = "pressure_near_limit";
        near.state = alarms::AlarmState::raised;
        near.priority = alarms::Priority::critical;
        near.at = near.raised_at = clock - 13min;
        near.title = "North: pressure at 95 % of its limit";
        near.text = text;
        near.limit = limit_kpa;
        view.alarms.push_back({near, std::nullopt, {}, {}});
    }
    view.alarms.front().present_text = text;
    view.alarms.front().present_value = kpa;
}

void HarbourCellar::be_calm() {
    for (cellar::VesselView& view : views) {
        view.alarms.clear();
        for (auto& [quantity, latest] : view.latest) latest.at = view.at - 1min;
    }
    vessel("south").sentence =
        "Breakwater Porter, ferment, day 3: 1.022 SG (56 % attenuated), 20.1 °C. Finished about "
        "Sun 15 Mar 15:36 (± 24 h). Head pressure 1.18 bar, 0.22 bar below the limit.";
}

void HarbourCellar::fall_silent(base::Duration for_so_long) {
    for (cellar::VesselView& view : views) {
        view.sensors.clear();
        for (auto& [quantity, latest] : view.latest) {
            latest.at = view.at - for_so_long;
            view.sensors.push_back({view.spec.id + "_" + std::string{base::name(quantity)}, quantity,
                                    latest.at, harbour_mild::start, latest.stale_after});
        }
    }
}

void HarbourCellar::begin_brew_day() {
    cellar::VesselView& view = vessel("south");
    batch::StagePlan strike;
    strike.kind = base::StageKind::strike;
    strike.temperature_c = base::Band{71, 73};
    strike.end.when = batch::StageEnd::When::temperature_reached;
    strike.end.temperature_c = 72;
    view.batch->plan.stages.insert(view.batch->plan.stages.begin(), strike);
    view.batch->started = view.batch->stage_since = clock - 40min;
    view.batch->entered = {{0, view.batch->started, "batch started", std::nullopt}};
    view.batch->next_stage = base::StageKind::ferment;
    view.latest = {{Quantity::beer_temperature, {54.2, clock - 5s, 45min}}};
    view.estimates.clear();
    const double ready = base::unix_seconds(clock) + 41 * 60;
    view.estimates[Quantity::ready_time] = {ready, ready - 120, ready + 180};
    view.countdown = cellar::Countdown{.kind = cellar::Countdown::Kind::temperature,
                                       .due = clock + 41min,
                                       .earliest = clock + 39min,
                                       .latest = clock + 44min,
                                       .text = "Strike ready 18:41",
                                       .detail = "18:39 to 18:44"};
    view.alarms.clear();
    view.sentence = "Breakwater Porter, strike water at 54.2 °C: 72.0 °C at Fri 13 Mar 18:41.";
}

std::map<std::string, std::uint64_t> HarbourCellar::rejected() const {
    return {{"impossible_jump", 3}, {"not_a_number", 12}, {"out_of_range", 1}, {"unclaimed_topic", 40}};
}

Trend HarbourCellar::trend(const std::string& vessel, Quantity quantity, Timestamp from, Timestamp to,
                           std::size_t points) const {
    if (store_is_broken) throw std::runtime_error{"the disk is full"};
    Trend trend;
    const bool is_south = vessel == "south";
    const auto measured = is_south ? breakwater_porter::measured : harbour_mild::measured;
    const auto estimated = is_south ? breakwater_porter::estimated : harbour_mild::estimated;
    const base::Duration step = std::max<base::Duration>((to - from) / static_cast<long>(points), 15min);
    for (Timestamp at = from; at < to && trend.at.size() < points; at += step) {
        if (at > clock) break;
        Estimate bucket;
        if (base::is_measured(quantity)) {
            const double a = measured(quantity, at);
            const double b = measured(quantity, at + step / 3);
            bucket = {(a + b) / 2, std::min(a, b), std::max(a, b)};
        } else if (const auto estimate = estimated(quantity, at)) {
            bucket = *estimate;
        } else {
            continue;
        }
        if (std::isnan(bucket.value)) continue;
        trend.at.push_back(at);
        trend.value.push_back(bucket.value);
        trend.low.push_back(bucket.low);
        trend.high.push_back(bucket.high);
    }
    return trend;
}

/// A temperature and a belief each quarter of an hour.
cellar::StoredValues HarbourCellar::values(const std::string& vessel, Timestamp from, Timestamp to,
                                           std::size_t limit) const {
    cellar::StoredValues page;
    constexpr base::Duration step = 15min;
    Timestamp at = std::max(from, harbour_mild::start);
    at += (step - (at - harbour_mild::start) % step) % step;
    for (; vessel == "north" && at < std::min(to, clock); at += step) {
        if (page.values.size() >= 2 * limit) {
            page.next = at;
            break;
        }
        const double value = harbour_mild::measured(Quantity::beer_temperature, at);
        if (!std::isnan(value))
            page.values.push_back(
                {at, Quantity::beer_temperature, "north_temperature", {value, value, value}});
        const auto estimate = harbour_mild::estimated(Quantity::gravity_now, at);
        if (estimate) page.values.push_back({at, Quantity::gravity_now, {}, *estimate});
    }
    return page;
}

std::vector<batch::Record> HarbourCellar::batches(std::size_t limit) const {
    batch::Record record;
    record.id = "harbour-mild-2026-03-01";
    record.plan = harbour_mild_plan();
    record.started = day(0);
    const auto entered = [&](std::size_t index, double at, const char* why) {
        auto& step = record.stages.emplace_back();
        step.index = index;
        step.at = day(at);
        step.why = why;
    };
    entered(0, 0, "by plan");
    entered(1, 4.4, "terminal gravity");
    entered(2, 6, "by hand");
    entered(3, 8, "3.0 °C reached");
    record.measurements = {{Quantity::gravity, 1.0412, day(0.02), "hydrometer, 20 °C"}};
    record.facts = views[0].batch ? views[0].batch->facts : std::vector<estimation::Fact>{};
    return limit > 0 ? std::vector{record} : std::vector<batch::Record>{};
}

std::vector<alarms::Transition> HarbourCellar::alarms(std::size_t limit, Timestamp before) const {
    std::vector<alarms::Transition> out;
    for (const alarms::Transition& t : alarm_log)
        if (out.size() < limit && t.at < before) out.push_back(t);
    return out;
}

std::vector<alarms::Transition> HarbourCellar::alarms(std::size_t limit, const AlarmPlace& after) const {
    std::vector<alarms::Transition> out;
    for (const alarms::Transition& t : alarm_log)
        if (out.size() < limit && (t.at < after.at || (t.at == after.at && t.alarm > after.alarm)))
            out.push_back(t);
    return out;
}

Health HarbourCellar::health() const {
    const bool hears =
        std::ranges::find(impairments, "broker_lost", &base::Impairment::name) == impairments.end();
    return {.ok = !store_is_broken && hears,
            .broker_connected = hears,
            .store_ok = !store_is_broken,
            .problem = store_is_broken ? "the store does not take readings: the disk is full" : "",
            .impairments = impairments,
            .last_reading = clock - 1min,
            .last_commit = clock - 5s};
}

WatchFigures HarbourCellar::figures() const {
    return {.readings_stored = 69'120,
            .messages_received = 69'176,
            .notices_delivered = 4,
            .notices_failed = 1,
            .queue_depth = 0,
            .outbox_pending = 2,
            .readings_unstored = 17,
            .last_commit_seconds = 0.0031,
            .started = day(-3),
            .lost = {.messages_oversized = 2,
                     .messages_unclaimed = 3,
                     .readings_unkept = 5,
                     .broker_sessions = 7,
                     .publications = 11,
                     .spool_failures = 13,
                     .spool_torn_bytes = 4'096}};
}

base::Result<std::size_t, Problem> HarbourCellar::take_history(const std::vector<sensors::Reading>& readings,
                                                               bool is_last) {
    if (refusal) return base::Unexpected{*refusal};
    std::size_t fresh = 0;
    for (const sensors::Reading& reading : readings) {
        const bool is_known = std::ranges::any_of(imported, [&](const sensors::Reading& other) {
            return other.sensor == reading.sensor && other.at == reading.at;
        });
        if (is_known) continue;
        imported.push_back(reading);
        ++fresh;
    }
    imports += is_last ? 1 : 0;
    return fresh;
}

namespace {

cellar::Consent consent_of(const cellar::Command& command) {
    if (const auto* start = std::get_if<cellar::StartBatch>(&command)) return start->consent;
    if (const auto* enter = std::get_if<cellar::EnterStage>(&command)) return enter->consent;
    if (const auto* correct = std::get_if<cellar::CorrectBatch>(&command)) return correct->consent;
    return cellar::Consent::past;
}

}  // namespace

base::Result<Understood, Problem> HarbourCellar::command(const cellar::Command& command) {
    if (refusal) return base::Unexpected{*refusal};
    const cellar::Consent consent = consent_of(command);
    if ((consent == cellar::Consent::none && !findings.empty()) ||
        (consent == cellar::Consent::given && batch::is_dangerous(findings)))
        return base::Unexpected{
            Problem{409, "The vessel does not bear this", findings.front().text, findings}};
    commands.push_back(command);
    if (const auto* acknowledged = std::get_if<cellar::Acknowledge>(&command)) {
        for (cellar::VesselView& view : views)
            for (cellar::StandingAlarm& alarm : view.alarms)
                if (alarm.last.alarm == acknowledged->alarm)
                    alarm.last.state = alarms::AlarmState::acknowledged;
    } else if (const auto* entered = std::get_if<cellar::EnterStage>(&command)) {
        cellar::VesselView& view = vessel(entered->vessel);
        const std::size_t index = view.batch->stage_index;
        view.batch->stage_index = entered->index.value_or(entered->move == batch::Move::back   ? index - 1
                                                          : entered->move == batch::Move::skip ? index + 2
                                                                                               : index + 1);
        view.batch->stage_since = entered->at;
        view.batch->entered.push_back({view.batch->stage_index, entered->at, entered->why, std::nullopt});
    } else if (const auto* undone = std::get_if<cellar::UndoStep>(&command)) {
        cellar::VesselView& view = vessel(undone->vessel);
        view.batch->entered.pop_back();
        view.batch->stage_index = view.batch->entered.back().index;
        view.batch->stage_since = view.batch->entered.back().at;
    } else if (const auto* measured = std::get_if<cellar::Measure>(&command)) {
        read(measured->vessel, measured->measurement.quantity, measured->measurement.value);
    }
    return Understood{};
}

base::Result<batch::Plan, Problem> HarbourCellar::batch_plan(const std::string& toml) {
    if (toml.find("[[stage]]") == std::string::npos)
        return base::Unexpected{
            Problem{400, "Batch file has mistakes", "batch.toml:1:1: error: no [[stage]]"}};
    batch::Plan plan = harbour_mild_plan();
    plan.vessel = toml.find("vessel = \"south\"") != std::string::npos ? "south" : "";
    return plan;
}

}  // namespace gyled::web
