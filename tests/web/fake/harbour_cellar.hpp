#pragma once
/// A cellar that never was: two vessels and twelve days of invented history, for tests of the web edge and of
/// the page. The curves only have to look alive; nothing here is science.

#include <optional>
#include <string>
#include <vector>

#include "daemon/web/backend.hpp"
#include "daemon/web/history.hpp"

namespace gyled::web {

/// The invented history of "north": a mild, twelve days old at `end`.
namespace harbour_mild {
inline const Timestamp start = *base::from_rfc3339("2026-03-01T18:00:00Z");
inline const Timestamp end = *base::from_rfc3339("2026-03-13T18:00:00Z");
/// NaN where the sensor was silent, or where nobody could know.
[[nodiscard]] double measured(base::Quantity q, Timestamp t);
[[nodiscard]] std::optional<base::Estimate> estimated(base::Quantity q, Timestamp t);
}  // namespace harbour_mild

/// That of "south": a porter, not quite three days old, shut in and pressing.
namespace breakwater_porter {
inline const Timestamp start = *base::from_rfc3339("2026-03-10T22:00:00Z");
inline const Timestamp last_gravity = harbour_mild::end - std::chrono::minutes{200};
[[nodiscard]] double measured(base::Quantity q, Timestamp t);
[[nodiscard]] std::optional<base::Estimate> estimated(base::Quantity q, Timestamp t);
}  // namespace breakwater_porter

/// A backend that works, with knobs for trouble. Commands are remembered and, where the page would notice,
/// done.
class HarbourCellar : public Backend, public History {
public:
    HarbourCellar();

    [[nodiscard]] Timestamp now() const override { return clock; }
    [[nodiscard]] display::Display display() const override { return shown_as; }
    [[nodiscard]] std::string site_name() const override { return "Harbour cellar"; }
    [[nodiscard]] std::vector<cellar::VesselView> vessels() const override { return views; }
    [[nodiscard]] std::map<std::string, estimation::LearnedCurve> learned() const override {
        return {{"harbour ale", {.edition = 2, .batches = 3, .mean = {}, .covariance = {}}},
                {"forgotten", {}}};
    }
    [[nodiscard]] std::optional<estimation::Foresight> foresight(const std::string& id) const override {
        return id == "north" ? belief : std::nullopt;
    }
    [[nodiscard]] std::vector<cellar::StandingAlarm> watch_alarms() const override { return alarms_of_watch; }
    [[nodiscard]] std::vector<sensors::SensorHealth> sensors() const override { return sensor_health; }
    [[nodiscard]] std::map<std::string, std::uint64_t> rejected() const override;
    [[nodiscard]] Trend trend(const std::string& vessel, base::Quantity quantity, Timestamp from,
                              Timestamp to, std::size_t points) const override;
    [[nodiscard]] cellar::StoredValues values(const std::string& vessel, Timestamp from, Timestamp to,
                                              std::size_t limit) const override;
    [[nodiscard]] std::vector<batch::Record> batches(std::size_t limit) const override;
    [[nodiscard]] std::vector<alarms::Transition> alarms(std::size_t limit, Timestamp before) const override;
    [[nodiscard]] std::vector<alarms::Transition> alarms(std::size_t limit,
                                                         const AlarmPlace& after) const override;
    [[nodiscard]] Health health() const override;
    [[nodiscard]] WatchFigures figures() const override;
    base::Result<Understood, Problem> command(const cellar::Command& command) override;
    base::Result<std::size_t, Problem> take_history(const std::vector<sensors::Reading>& readings,
                                                    bool is_last) override;
    base::Result<batch::Plan, Problem> batch_plan(const std::string& toml) override;

    [[nodiscard]] std::optional<cellar::VesselView> vessel(const std::string& id) const override;
    [[nodiscard]] cellar::VesselView& vessel(const std::string& id);
    /// A new reading arrives in `vessel`, now.
    void read(const std::string& vessel, base::Quantity quantity, double value);

    /// North's head pressure comes to this share of its limit, and the alarm about that stands.
    void press(double share);
    /// No alarm stands and every reading is fresh.
    void be_calm();
    /// So long nothing is heard of any sensor.
    void fall_silent(base::Duration for_so_long);
    /// "south" becomes a vessel on brew day: strike water is being heated.
    void begin_brew_day();

    // what it holds
    Timestamp clock = harbour_mild::end;
    display::Display shown_as;
    std::vector<cellar::VesselView> views;
    std::vector<sensors::SensorHealth> sensor_health;
    std::vector<cellar::StandingAlarm> alarms_of_watch;
    std::vector<alarms::Transition> alarm_log;  ///< newest first, those of one moment by id
    // what it was told
    std::vector<cellar::Command> commands;
    std::vector<sensors::Reading> imported;
    std::optional<estimation::Foresight> belief;  ///< of north, for who asks "what if"
    std::size_t imports = 0;                      ///< that said they were the last
    // knobs for trouble
    std::optional<Problem> refusal;  ///< every command is refused with this
    batch::Findings findings;        ///< of the plan: start, next stage and correction are held against them
    bool store_is_broken = false;    ///< trends throw, health says so
    base::Impairments impairments;   ///< as the app would find them; "broker_lost" makes it not well
};

}  // namespace gyled::web
