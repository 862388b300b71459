/// A restart is a replay: a run that is cut at random moments and taken up from the store ends where the run
/// ends that was never cut, in state, estimates, alarms and notices. And arrival order does not matter.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <map>
#include <random>

#include "tests/cellar/harbour.hpp"
#include "tests/cellar/kept.hpp"

namespace gyled::cellar {
namespace {

void expect_same(const base::Estimates& a, const base::Estimates& b, double relative) {
    ASSERT_EQ(a.size(), b.size());
    for (const auto& [quantity, x] : a) {
        ASSERT_TRUE(b.contains(quantity)) << base::name(quantity);
        const auto& y = b.at(quantity);
        const auto near = [&](double u, double v) {
            return u == v || std::abs(u - v) <= relative * std::max({1.0, std::abs(u), std::abs(v)});
        };
        EXPECT_TRUE(near(x.value, y.value) && near(x.low, y.low) && near(x.high, y.high))
            << base::name(quantity) << ' ' << x.value << " or " << y.value;
    }
}

void expect_same(const std::vector<VesselState>& a, const std::vector<VesselState>& b) {
    ASSERT_EQ(a.size(), b.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
        EXPECT_EQ(a[i].at, b[i].at);
        EXPECT_TRUE(a[i].stage_clock == b[i].stage_clock);
        EXPECT_TRUE(a[i].alarms == b[i].alarms) << "alarms of '" << a[i].vessel << "'";
        EXPECT_TRUE(a[i].annunciations == b[i].annunciations);
        EXPECT_TRUE(a[i].sensors == b[i].sensors);
        EXPECT_TRUE(a[i].latest == b[i].latest);
        EXPECT_EQ(a[i].ambient_kpa, b[i].ambient_kpa);
        EXPECT_EQ(a[i].last_batch, b[i].last_batch);
        EXPECT_EQ(a[i].taught, b[i].taught);
        ASSERT_EQ(a[i].ended.has_value(), b[i].ended.has_value());
        if (a[i].ended) {
            EXPECT_TRUE(a[i].ended->clock == b[i].ended->clock);
        }
        EXPECT_EQ(a[i].uptake, b[i].uptake);
        ASSERT_EQ(a[i].batch.has_value(), b[i].batch.has_value());
        if (!a[i].batch) continue;
        EXPECT_EQ(a[i].batch->id, b[i].batch->id);
        EXPECT_EQ(a[i].batch->prior, b[i].batch->prior);
        EXPECT_EQ(a[i].batch->uptake, b[i].batch->uptake);
        EXPECT_EQ(a[i].batch->facts.size(), b[i].batch->facts.size());
        EXPECT_EQ(a[i].batch->stages.size(), b[i].batch->stages.size());
        for (std::size_t s = 0; s < a[i].batch->stages.size(); ++s) {
            EXPECT_EQ(a[i].batch->stages[s].at, b[i].batch->stages[s].at);
            EXPECT_EQ(a[i].batch->stages[s].end_reached, b[i].batch->stages[s].end_reached);
            EXPECT_EQ(a[i].batch->stages[s].left_at, b[i].batch->stages[s].left_at);
        }
    }
}

/// What others heard of a run, in words.
std::vector<std::string> heard(const Effects& all) {
    std::vector<std::string> words;
    for (const auto& t : all.transitions)
        words.push_back(base::to_rfc3339(t.at) + " " + t.alarm + " " + std::string{alarms::name(t.state)} +
                        " " + t.text);
    for (const auto& n : all.notices) words.push_back(base::to_rfc3339(n.at) + " " + n.id + " " + n.title);
    for (const auto& f : all.facts)
        words.push_back(base::to_rfc3339(f.fact.at) + " " + std::string{estimation::name(f.fact.kind)} +
                        (f.fact.revoked ? " revoked" : ""));
    return words;
}

using Input = std::function<Effects(Cellar&)>;
struct Moment {
    Timestamp at;
    Input input;
};
using Life = std::vector<Moment>;

class Chance {
public:
    explicit Chance(std::uint64_t seed) : engine_{seed} {}
    double between(double low, double high) { return std::uniform_real_distribution{low, high}(engine_); }
    bool one_in(double n) { return between(0, n) < 1; }
    std::size_t below(std::size_t n) { return std::uniform_int_distribution<std::size_t>{0, n - 1}(engine_); }

private:
    std::mt19937_64 engine_;
};

void command(Life& life, Timestamp at, Command what) {
    life.push_back({at, [what = std::move(what)](Cellar& core) { return core.accept(what); }});
}

void hear(Life& life, Quantity q, Duration after, double value) {
    life.push_back({at(after), [r = reading(q, after, value)](Cellar& core) { return core.accept(r); }});
}

/// The person answers whatever alarm stands first: acknowledges it, or shelves it for half an hour.
void answer_an_alarm(Life& life, Duration after, bool shelve) {
    life.push_back({at(after), [=](Cellar& core) {
                        const auto standing = core.vessel("north")->alarms;
                        if (standing.empty()) return Effects{};
                        const std::string alarm = standing.front().last.alarm;
                        if (shelve) return core.accept(Shelve{alarm, at(after), at(after + 30min), "seen"});
                        return core.accept(Acknowledge{alarm, at(after)});
                    }});
}

/// The person steps on too early, or back, and takes it back a minute later.
void err(Life& life, Duration after, bool forwards) {
    const batch::Move move = forwards ? batch::Move::next : batch::Move::back;
    command(life, at(after), EnterStage{"north", at(after), {}, "by mistake", Consent::given, move});
    command(life, at(after + 1s), UndoStep{"north", at(after + 1s)});
}

batch::Plan from_mash_to_keg() {
    batch::Plan plan = mild();
    plan.culture_name = "harbour house";
    const batch::StagePlan ferment = plan.stages[0], crash = plan.stages[1];
    batch::StagePlan mash;
    mash.kind = StageKind::mash;
    mash.temperature_c = Band{66, 68};
    mash.end = {batch::StageEnd::When::time_in_band, std::nullopt, Duration{60min}};
    batch::StagePlan carbonate;
    carbonate.kind = StageKind::carbonate;
    carbonate.head_space = HeadSpace::supplied;
    carbonate.head_pressure_kpa = 90;
    carbonate.pressure_kpa = Band{80, 100};
    carbonate.end.when = batch::StageEnd::When::carbonated;
    plan.stages = {mash, ferment, crash, carbonate};
    for (batch::StagePlan& stage : plan.stages) stage.start.reset();
    plan.stages[1].start = at(4h);
    plan.stages[2].start = at(200h);
    plan.stages[2].end = {batch::StageEnd::When::temperature_reached, 2.0, std::nullopt};
    plan.stages[3].start = at(230h);
    return plan;
}

double beer_c(double hours, Chance& chance) {
    if (hours < 0.3) return 73.3 + chance.between(-0.4, 0.4);  // the grain is to come
    if (hours < 3) return chance.one_in(5) ? 64.5 : 67.0 + chance.between(-0.4, 0.4);
    if (hours < 4) return 22;
    if (hours < 200) return 19.5 + chance.between(-0.3, 0.3);
    return std::max(1.8, 19.5 - 0.9 * (hours - 200));
}

/// Pressure with trouble now and then: it climbs towards the 180 kPa that the vessel bears, and comes down
/// again.
class Gauge {
public:
    double next(double hours, Chance& chance) {
        const double rest = hours < 230 ? 0.5 : 90.0;
        if (trouble_ == 0 && chance.one_in(120)) trouble_ = 12;
        if (trouble_ > 0) --trouble_;
        peak_ = trouble_ > 0 ? std::min(176.0, peak_ + chance.between(0, 40)) : peak_ * 0.5;
        return std::max(rest, peak_) + chance.between(-0.2, 0.2);
    }

private:
    int trouble_ = 0;
    double peak_ = 0;
};

/// Eleven days of one batch, from the mash to the carbonated keg, with sensors that fall silent, a broker
/// that goes away, and a person who answers alarms and takes a measurement.
Life a_life(std::uint64_t seed) {
    Life life;
    Chance chance{seed};
    Gauge gauge;
    command(life, at(0h), StartBatch{from_mash_to_keg(), at(0h), {}});
    Duration step = 1min;
    for (Duration t = 0min; t < 264h; t += step) {
        const double hours = static_cast<double>(t.count()) / 3.6e6;
        step = hours < 4 ? Duration{1min} : Duration{10min};
        if (chance.one_in(400)) t += chance.one_in(2) ? 70min : 5min;  // nobody speaks for a while
        hear(life, Quantity::beer_temperature, t, beer_c(hours, chance));
        hear(life, Quantity::head_pressure, t, gauge.next(hours, chance));
        if (hours >= 4)
            hear(life, Quantity::gravity, t,
                 1.010 + 0.030 / (1 + std::exp((hours - 44) / 8)) + chance.between(-0.0004, 0.0004));
        if (hours > 0.5 && chance.one_in(hours < 4 ? 60 : 400)) err(life, t + 20s, chance.one_in(2));
        if (chance.one_in(150)) answer_an_alarm(life, t + 30s, chance.one_in(3));
        if (chance.one_in(900)) command(life, at(t + 40s), BrokerState{false, at(t + 40s)});
        if (chance.one_in(60)) command(life, at(t + 50s), BrokerState{true, at(t + 50s)});
        if (hours > 60 && chance.one_in(500))
            command(life, at(t + 55s), Measure{"north", {Quantity::gravity, 1.0135, at(t), "hydrometer"}});
    }
    return life;
}

Effects live(Cellar& core, const Moment& moment) {
    Effects effects = core.advance_to(moment.at);
    effects.append(moment.input(core));
    return effects;
}

class RandomCuts : public ::testing::TestWithParam<std::uint64_t> {};

TEST_P(RandomCuts, ARunThatIsCutEndsWhereTheUncutRunEnds) {
    constexpr std::size_t cuts = 20;
    const Life life = a_life(GetParam());
    Chance chance{GetParam() + 1000};
    std::vector<std::size_t> cut_before;
    for (std::size_t i = 0; i < cuts; ++i) cut_before.push_back(chance.below(life.size()));
    std::sort(cut_before.begin(), cut_before.end());

    Cellar uncut{harbour()}, cut{harbour()};
    Kept store;
    Effects one, other;
    auto next_cut = cut_before.begin();
    for (std::size_t i = 0; i < life.size(); ++i) {
        while (next_cut != cut_before.end() && *next_cut == i) {
            cut = store.restarted(harbour());
            expect_same(uncut.states(), cut.states());
            expect_same(uncut.vessel("north")->estimates, cut.vessel("north")->estimates, 1e-9);
            ++next_cut;
            if (HasFailure())
                FAIL() << "after the cut before input " << i << ", " << base::to_rfc3339(life[i].at);
        }
        one.append(live(uncut, life[i]));
        Effects effects = live(cut, life[i]);
        store.keep(effects, cut);
        other.append(std::move(effects));
    }

    EXPECT_EQ(heard(one), heard(other));
    expect_same(uncut.states(), cut.states());
    expect_same(uncut.vessel("north")->estimates, cut.vessel("north")->estimates, 1e-9);
    for (Cellar* core : {&uncut, &cut}) (void)core->accept(EndBatch{"north", core->now(), "kegs are full"});
    EXPECT_EQ(uncut.learned(), cut.learned());
    ASSERT_TRUE(cut.learned().contains("harbour house"))
        << "the batch never finished: the cuts prove too little";
    EXPECT_EQ(cut.learned().at("harbour house").batches, 1)
        << "a batch teaches once, however often it is taken up";
    EXPECT_GT(one.transitions.size(), 10u) << "too quiet a life to prove anything";
}

INSTANTIATE_TEST_SUITE_P(OfManyLives, RandomCuts, ::testing::Range<std::uint64_t>(1, 12));

TEST(Restart, KeepsTheMinutesOfARest) {
    batch::Plan plan = from_mash_to_keg();
    Cellar core{harbour()};
    Kept store;
    (void)core.advance_to(at(0h));
    store.keep(core.accept(StartBatch{plan, at(0h), {}}), core);
    std::vector<Timestamp> ends;
    for (Duration t = 1min; t <= 90min; t += 1min) {
        if (t == 50min) core = store.restarted(harbour());
        Effects effects = core.advance_to(at(t));
        effects.append(core.accept(reading(Quantity::beer_temperature, t, 67)));
        for (const auto& notice : effects.notices)
            if (notice.rule == "stage_end") ends.push_back(notice.at);
        store.keep(effects, core);
    }

    ASSERT_EQ(ends.size(), 1u);
    EXPECT_NEAR(base::hours_between(at(0h), ends.front()) * 60, 61, 1.5)
        << "an hour, not an hour from the restart on";
}

TEST(Restart, AfterADayAwayRaisesNoSilenceThatNobodyCouldHaveBroken) {
    Cellar core{harbour()};
    Kept store;
    (void)core.advance_to(at(0h));
    store.keep(core.accept(StartBatch{mild(), at(0h), {}}), core);
    for (const auto& r : an_ale(0h, 30h)) {
        Effects effects = core.advance_to(r.at);
        effects.append(core.accept(r));
        store.keep(effects, core);
    }

    Cellar back = store.restarted(harbour());
    back.skip_to(at(54h));
    Effects effects = back.advance_to(at(54h) + 5min);

    for (const auto& t : effects.transitions) EXPECT_NE(t.rule, "sensor_silent") << t.text;
    EXPECT_EQ(back.now(), at(54h) + 5min);
}

TEST(LateReadings, GiveTheNumbersOfALiveStream) {
    Cellar live{harbour()}, bulk{harbour()};
    Effects ignored = live.advance_to(at(0h));
    ignored = live.accept(StartBatch{mild(), at(0h), {}});
    for (const auto& r : an_ale(0h, 48h)) {
        if (r.at > live.now()) ignored = live.advance_to(r.at);
        ignored = live.accept(r);
    }
    ignored = live.advance_to(at(48h));

    // The same history, uploaded in disorder two days later.
    auto readings = an_ale(0h, 48h);
    std::shuffle(readings.begin(), readings.end(), std::mt19937_64{7});
    ignored = bulk.advance_to(at(48h) - 5s);
    ignored = bulk.accept(StartBatch{mild(), at(0h), {}});
    for (const auto& r : readings) ignored = bulk.accept(r);
    Effects settled = bulk.advance_to(at(48h));

    expect_same(live.vessel("north")->estimates, bulk.vessel("north")->estimates, 1e-6);
    EXPECT_GT(settled.estimates.size(), 48u * 4) << "the trend of the past is told again";
    EXPECT_TRUE(settled.notices.empty()) << "the past is annunciated to nobody";
}

TEST(LateReadings, DoNotMoveTheClockBack) {
    Cellar core{harbour()};
    Effects ignored = core.advance_to(at(10h));
    ignored = core.advance_to(at(2h));

    EXPECT_EQ(core.now(), at(10h));
}

TEST(OldNews, IsRecordedAndAnnunciatedToNobody) {
    CellarSpec spec = harbour();
    for (ExpectedSensor& sensor : spec.sensors) sensor.silent_after = 2h;
    Cellar core{spec};
    (void)core.advance_to(at(10h));

    sensors::Reading old = reading(Quantity::head_pressure, 10h - 90min, 178);
    old.arrived = at(10h);
    Effects effects = core.accept(old);
    effects.append(core.advance_to(at(10h) + 1min));
    const Effects fresh = core.accept(reading(Quantity::head_pressure, 10h + 1min, 178));

    EXPECT_FALSE(effects.transitions.empty()) << "it is recorded";
    EXPECT_TRUE(effects.notices.empty()) << "an hour and a half old";
    EXPECT_EQ(fresh.notices.size(), 1u) << "it still stands";
}

}  // namespace
}  // namespace gyled::cellar
