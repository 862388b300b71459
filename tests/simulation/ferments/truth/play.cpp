#include <algorithm>
#include <cmath>
#include <numbers>

#include "tests/simulation/ferments/truth/script.hpp"

namespace gyled::ferment_worlds {
namespace {

using base::StageKind;

constexpr double point = 0.001;  // SG
constexpr double longest_h = 60 * 24;

/// Lives the truth of one batch, step by step.
class Play {
public:
    Play(World& world, Kinetics kinetics, const Script& script, Random random)
        : world_{world}, kinetics_{std::move(kinetics)}, script_{script}, phase_h_{random.between(0, 24)} {
        beer_c_ = script.set_c + random.between(-1, 1.5);
    }

    void to_the_end() {
        eaten_in_the_end_ = left_alone();
        world_.stages.push_back({world_.begin, StageKind::ferment, script_.set_c});
        if (script_.stepped_h && script_.step_is_told)
            world_.planned.push_back(
                {world_.time_of(*script_.stepped_h), StageKind::ferment, script_.set_c + 3});
        while (hour_ < longest_h && !is_over()) step();
        if (world_.stopped_h) world_.terminal_sg = world_.quarters.back().sg;
    }

private:
    /// What it would eat in all, kept as planned and never chilled.
    [[nodiscard]] double left_alone() const {
        Kinetics twin = kinetics_;
        for (double hour = 0; hour < longest_h; hour += 0.25)
            twin.step(0.25,
                      script_.stepped_h && hour > *script_.stepped_h ? script_.set_c + 3 : script_.set_c);
        return twin.eaten(twin.state);
    }
    [[nodiscard]] double done() const { return kinetics_.eaten(kinetics_.state) / eaten_in_the_end_; }
    [[nodiscard]] double points_left() const {
        return (1 - done()) * (world_.original_sg - world_.terminal_sg) / point;
    }

    void step() {
        hour_ += 0.25;
        set_temperature();
        meet_trouble();
        if (points_left() <= end_sg / point && !ended_h_) ended_h_ = hour_;
        kinetics_.step(0.25, beer_c_, activity_);
        const double drop = world_.original_sg - world_.terminal_sg;
        const double crept = world_.creeps_h ? script_.creep_points *
                                                   -std::expm1(-(hour_ - *world_.creeps_h) / script_.creep_h)
                                             : 0;
        world_.quarters.push_back({world_.original_sg - drop * done() - point * crept, beer_c_, stage_});
    }

    void set_temperature() {
        double set_c = script_.set_c;
        if (script_.stepped_h && hour_ > *script_.stepped_h) set_c += 3;
        if (is_cold_now()) set_c = 2;
        if (script_.trouble == Trouble::cold_shock && shock_h_ && hour_ < *shock_h_ + shock_lasts_h)
            set_c = std::max(2.0, set_c - 9);
        constexpr double day_c = 0.3, follows_per_h = 0.2;
        const double room = day_c * std::sin(2 * std::numbers::pi * (hour_ + phase_h_) / 24);
        beer_c_ += -std::expm1(-0.25 * follows_per_h) * (set_c + room - beer_c_);
    }

    /// Chilled, and an early one warmed up again after three days.
    bool is_cold_now() {
        if (!chilled_h_ && is_to_be_chilled()) {
            chilled_h_ = world_.chilled_h = hour_;
            tell(StageKind::crash, 2);
        }
        if (chilled_h_ && script_.chill == Chill::early && hour_ > *chilled_h_ + 72) {
            if (stage_ == StageKind::crash) tell(StageKind::ferment, script_.set_c);
            return false;
        }
        return chilled_h_.has_value();
    }
    [[nodiscard]] bool is_to_be_chilled() const {
        if (script_.chill == Chill::early) return done() >= script_.chill_share;
        const double waits_h = script_.chill == Chill::day_after ? 24 : 84;
        return script_.chill != Chill::none && ended_h_ && hour_ >= *ended_h_ + waits_h;
    }
    void tell(StageKind kind, double celsius) {
        stage_ = kind;
        world_.stages.push_back({world_.time_of(hour_), kind, celsius});
    }

    void meet_trouble() {
        const bool is_due = done() >= script_.trouble_share;
        if (script_.trouble == Trouble::cold_shock && is_due && !shock_h_) shock_h_ = hour_;
        if (script_.trouble == Trouble::drops && is_due && !world_.stopped_h) world_.stopped_h = hour_;
        // Shocked yeast does not come back: it is stuck from the moment at which it is as warm as before.
        if (shock_h_ && !world_.stopped_h && hour_ > *shock_h_ + shock_lasts_h &&
            beer_c_ > script_.set_c - 1.5)
            world_.stopped_h = hour_;
        if (shock_h_ || world_.stopped_h) activity_ *= std::exp(-0.25 / gives_up_within_h);
        if (script_.trouble == Trouble::creep && ended_h_ && !world_.creeps_h && hour_ > *ended_h_ + 96)
            world_.creeps_h = hour_;
    }

    [[nodiscard]] bool is_over() const {
        if (world_.stopped_h) return hour_ > *world_.stopped_h + 96;
        if (world_.creeps_h) return hour_ > *world_.creeps_h + 144;
        if (chilled_h_ && script_.chill != Chill::early) return hour_ > *chilled_h_ + 96;
        if (script_.trouble == Trouble::creep) return false;
        return ended_h_ && hour_ > *ended_h_ + 120;
    }

    static constexpr double shock_lasts_h = 20, gives_up_within_h = 3;

    World& world_;
    Kinetics kinetics_;
    const Script& script_;
    double phase_h_;
    double hour_ = 0, beer_c_ = 20, activity_ = 1, eaten_in_the_end_ = 1;
    StageKind stage_ = StageKind::ferment;
    std::optional<double> ended_h_, chilled_h_, shock_h_;
};

}  // namespace

void play(World& world, Kinetics kinetics, const Script& script, Random& random) {
    Play{world, std::move(kinetics), script, random}.to_the_end();
}

}  // namespace gyled::ferment_worlds
