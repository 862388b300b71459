#pragma once
/// The web edge's questions, about the present, answered from the core.

#include <functional>

#include "daemon/cellar/cellar.hpp"
#include "daemon/config/config.hpp"
#include "daemon/pipeline/pipeline.hpp"
#include "daemon/web/backend.hpp"
#include "sensors/intake.hpp"

namespace gyled::app {

/// Keeps references; they outlive it. Thread: the main loop's.
class Answers final : public web::Backend {
public:
    struct Sources {
        const config::Config& config;
        const cellar::Cellar& core;
        const sensors::Intake& intake;
        std::function<web::Health()> health;
        std::function<web::WatchFigures()> figures;
        /// Carries a command out at once.
        std::function<pipeline::Answer(const cellar::Command&)> carry_out;
        std::function<base::Result<std::size_t, std::string>(const std::vector<sensors::Reading>&, bool)>
            take_history;
        std::function<base::Timestamp()> clock;
    };
    explicit Answers(Sources sources) : from_{std::move(sources)} {}

    [[nodiscard]] web::Timestamp now() const override { return from_.clock(); }
    [[nodiscard]] display::Display display() const override { return from_.config.site.display; }
    [[nodiscard]] std::string site_name() const override { return from_.config.site.name; }
    [[nodiscard]] std::vector<cellar::VesselView> vessels() const override { return from_.core.vessels(); }
    [[nodiscard]] std::optional<cellar::VesselView> vessel(const std::string& id) const override {
        return from_.core.vessel(id);
    }
    [[nodiscard]] std::map<std::string, estimation::LearnedCurve> learned() const override {
        return from_.core.learned();
    }
    [[nodiscard]] std::optional<estimation::Foresight> foresight(const std::string& id) const override {
        return from_.core.foresight(id);
    }
    [[nodiscard]] std::vector<cellar::StandingAlarm> watch_alarms() const override;
    [[nodiscard]] std::vector<sensors::SensorHealth> sensors() const override {
        return from_.intake.health();
    }
    [[nodiscard]] std::map<std::string, std::uint64_t> rejected() const override {
        return from_.intake.rejected();
    }
    [[nodiscard]] web::Health health() const override { return from_.health(); }
    [[nodiscard]] web::WatchFigures figures() const override { return from_.figures(); }
    base::Result<web::Understood, web::Problem> command(const cellar::Command& command) override;
    base::Result<std::size_t, web::Problem> take_history(const std::vector<sensors::Reading>& readings,
                                                         bool is_last) override;
    base::Result<batch::Plan, web::Problem> batch_plan(const std::string& toml) override;

private:
    Sources from_;
};

}  // namespace gyled::app
