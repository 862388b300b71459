// A restart is no event: a run cut at any moment and taken up from what is kept goes on exactly like the run
// that was never cut.
#include <memory>
#include <random>
#include <set>

#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

/// A cellar in which everything that the rules look at wanders, seeded.
class Wandering {
public:
    explicit Wandering(unsigned seed) : random_{seed} {}

    Situation next() {
        moment_ += chance(0.1) ? Duration{40min} : Duration{std::chrono::seconds{30 + 30 * pick(20)}};
        wander();
        Situation now = fermenting(moment_);
        now.stage = stages_.at(stage_);
        now.stage_since = stage_since_;
        now.head_space = static_cast<HeadSpace>(space_);
        now.pressure_band_kpa = base::Band{20, 120};
        now.latest[Quantity::head_pressure] = {kpa_, read_kpa_, 2h};
        now.latest[Quantity::beer_temperature] = {celsius_, read_celsius_, 45min};
        now.sensors[0].last_at = read_celsius_;
        now.sensors[1].last_at = read_gravity_;
        now.sensors[2].last_at = read_kpa_;
        now.estimates[Quantity::warm_pressure] = {kpa_ + 60, kpa_ + 50, kpa_ + 70};
        now.estimates[Quantity::crash_pressure] = {kpa_ - 60, kpa_ - 70, kpa_ - 50};
        if (kpa_ > 60) {
            const double soon = base::unix_seconds(now.at) + (190 - kpa_) * 60;
            now.estimates[Quantity::limit_time] = {soon, soon, soon};
        }
        now.facts = facts_;
        now.broker_connected = connected_;
        return now;
    }
    std::size_t pick(std::size_t below) { return random_() % below; }
    bool chance(double share) { return std::uniform_real_distribution<>{}(random_) < share; }

private:
    void wander() {
        if (chance(0.3)) kpa_ = std::uniform_real_distribution<>{-10, 300}(random_);
        if (chance(0.2)) celsius_ = std::uniform_real_distribution<>{16, 25}(random_);
        if (chance(0.8)) read_kpa_ = at(moment_) - (chance(0.1) ? Duration{90min} : Duration{0});
        if (chance(0.7)) read_celsius_ = at(moment_);
        if (chance(0.5)) read_gravity_ = at(moment_);
        if (chance(0.1)) space_ = pick(4);
        if (chance(0.03)) connected_ = !connected_;
        if (chance(0.02)) enter(pick(stages_.size()));
        if (chance(0.1)) change_facts();
    }
    void enter(std::size_t stage) {
        stage_ = stage;
        stage_since_ = at(moment_);
    }
    void change_facts() {
        using estimation::FactKind;
        if (!facts_.empty() && chance(0.4)) {
            facts_.back().revoked = true;
            facts_.back().revoked_at = at(moment_);
            facts_.back().revoked_because = "Gravity fell since";
        } else if (chance(0.1)) {
            facts_.clear();
        } else {
            facts_.push_back({.kind = static_cast<FactKind>(pick(6)),
                              .at = at(moment_ - Duration{pick(2) * 13h}),
                              .evidence = "It was seen",
                              .revoked_because = {}});
        }
    }

    std::mt19937 random_;
    const std::vector<StageKind> stages_{StageKind::ferment, StageKind::crash, StageKind::carbonate,
                                         StageKind::boil};
    Duration moment_{};
    double kpa_ = 50, celsius_ = 19;
    Timestamp read_kpa_ = at(0min), read_celsius_ = at(0min), read_gravity_ = at(0min),
              stage_since_ = at(-72h);
    std::size_t stage_ = 0, space_ = 2;
    bool connected_ = true;
    std::vector<estimation::Fact> facts_;
};

/// What a person does now and then; the same to both runs.
void act(Watcher& watcher, const std::string& alarm, bool shelves, Timestamp now) {
    if (shelves)
        (void)watcher.panel.shelve(alarm, now, now + 90min, "busy");
    else
        (void)watcher.panel.acknowledge(alarm, now);
}

std::vector<std::string> heard(const Watcher& watcher) {
    std::vector<std::string> out;
    for (const annunciation::Notice& n : watcher.phone)
        out.push_back(n.id + "|" + std::string(annunciation::name(n.kind)) + "|" + n.title + "|" + n.text +
                      "|" + std::to_string(n.recipients.size()));
    return out;
}

TEST(Restart, ARunCutAnywhereGoesOnAsIfItHadNotBeenCut) {
    int cuts = 0;
    std::set<AlarmState> cut_in;
    std::size_t notices = 0, silent = 0;
    for (unsigned seed = 1; seed <= 20; ++seed) {
        Wandering cellar{seed};
        Watcher uncut;
        auto cut = std::make_unique<Watcher>();
        std::vector<std::string> cut_heard;
        for (int n = 0; n < 400; ++n) {
            const Situation now = cellar.next();
            ASSERT_EQ(cut->sees(now), uncut.sees(now)) << "seed " << seed << ", step " << n;
            ASSERT_EQ(cut->panel.state(), uncut.panel.state()) << "seed " << seed << ", step " << n;
            ASSERT_EQ(cut->annunciator.log(), uncut.annunciator.log());
            const auto standing = uncut.panel.standing();
            if (!standing.empty() && cellar.chance(0.05)) {
                const std::string alarm = standing[cellar.pick(standing.size())].last.alarm;
                const bool shelves = cellar.chance(0.5);
                act(uncut, alarm, shelves, now.at);
                act(*cut, alarm, shelves, now.at);
            }
            if (!cellar.chance(0.05)) continue;
            ++cuts;
            for (const Occurrence& one : cut->panel.state().occurrences) cut_in.insert(one.state);
            auto anew = std::make_unique<Watcher>();
            cut->restart_as(*anew);
            for (const std::string& notice : heard(*cut)) cut_heard.push_back(notice);
            cut = std::move(anew);
        }
        for (const std::string& notice : heard(*cut)) cut_heard.push_back(notice);
        ASSERT_EQ(cut_heard, heard(uncut)) << "seed " << seed;
        notices += uncut.phone.size();
        for (const Transition& step : uncut.log) silent += step.annunciated ? 0 : 1;
        EXPECT_LE(uncut.annunciator.log().entries.size(), 25U) << "bounded by rules and sensors";
    }
    EXPECT_GE(cuts, 200);
    EXPECT_EQ(cut_in.size(), 5U) << "pending, raised, acknowledged, returning, shelved";
    EXPECT_GT(notices, 200U) << "the runs have something to say";
    EXPECT_GT(silent, 50U) << "and something to hold back";
}

}  // namespace
}  // namespace gyled::alarms
