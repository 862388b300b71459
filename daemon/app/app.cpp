#include "daemon/app/app.hpp"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <set>

#include "daemon/app/answers.hpp"
#include "daemon/app/past.hpp"
#include "daemon/app/deliveries.hpp"
#include "daemon/app/ledger.hpp"
#include "daemon/app/translate.hpp"
#include "daemon/cellar/cellar.hpp"
#include "daemon/mqtt/source.hpp"
#include "daemon/storage/store.hpp"
#include "daemon/web/server.hpp"
#include "daemon/json/views.hpp"
#include "sensors/intake.hpp"

namespace gyled::app {
namespace {

using namespace std::chrono_literals;
using base::Timestamp;

constexpr std::size_t messages_at_once = 2'000;  // then the loop turns: timers and pages are not kept waiting
constexpr auto round_every = 1s;
constexpr auto state_every = 30s;
constexpr auto checkpoint_every = 10min;
constexpr auto prune_every = 1h;

}  // namespace

struct App::State {
    State(boost::asio::io_context& l, config::Config c, Lifesigns signs, std::function<Timestamp()> time)
        : loop{l},
          config{std::move(c)},
          lifesigns{std::move(signs)},
          clock{std::move(time)},
          store{config.storage.path},
          intake{config.sensors},
          core{cellar_spec(config)},
          ledger{store, config},
          deliveries{loop, store.outbox(), config, clock,
                     [this](const std::string& topic, const std::string& text) {
                         source->publish(topic, text, false, 1);
                     }},
          timer{loop},
          answers{{config, core, intake, [this] { return health(); }, [this] { return figures(); },
                   [this](const cellar::Command& command) { return carry_out(command); }, clock}},
          past{config.storage.path},
          server{loop, answers, past, web_settings(config)} {
        started = clock();
        store.describe(config.vessels, config.site.display, config.site.name);
        rebuild();
        source = mqtt::connect_to_broker(mqtt_settings(config, intake.topic_filters()), clock,
                                         [this] { boost::asio::post(loop, [this] { drain(); }); });
    }

    /// Takes up where the last run ended: running batches, standing alarms, what the sensors last said.
    void rebuild() {
        cellar::Memory memory;
        memory.running = store.running_batches();
        for (const auto& last : store.standing_alarms())
            memory.standing.push_back(alarms::standing_from(last));
        memory.learned = store.learned();
        const Timestamp now = clock();
        core.rebuild(
            memory,
            [&](const auto& take) {
                // A vessel without a batch needs only its recent past.
                for (const auto& vessel : config.vessels) {
                    Timestamp from = now - 2h;
                    for (const auto& batch : memory.running)
                        if (batch.plan.vessel == vessel.id) from = std::min(from, batch.started);
                    store.for_each_reading(vessel.id, from, now + 24h,
                                           [&](const cellar::ReadingPoint& reading) {
                                               take(reading);
                                               if (now - reading.at < 48h)
                                                   intake.remember(reading.sensor, reading.at, reading.value);
                                           });
                }
            },
            now);
        for (const auto& batch : memory.running)
            spdlog::info("{} goes on in {}, {} standing alarms", batch.plan.name, batch.plan.vessel,
                         memory.standing.size());
    }

    // ---- input

    void drain() {
        if (stopping) return;
        take_broker_events();
        const auto batch = source->drain(messages_at_once);
        take(batch);
        if (batch.more) boost::asio::post(loop, [this] { drain(); });
        settle();
    }

    void take(const mqtt::Batch& batch) {
        if (batch.messages.empty()) return;
        const Timestamp now = clock();
        take_effects(core.advance_to(now));
        std::set<std::string> touched;
        for (const sensors::Message& message : batch.messages) {
            auto taken = intake.accept(message);
            for (const auto& reject : taken.rejects) log_reject(reject);
            for (const auto& reading : taken.readings) {
                touched.insert(reading.vessel);
                last_reading = std::max(last_reading.value_or(reading.arrived), reading.arrived);
                take_effects(core.accept(reading));
            }
        }
        last_batch = batch.id;
        uncommitted = true;
        for (const std::string& vessel : touched) changed.insert(vessel);
    }

    void take_broker_events() {
        for (const mqtt::Event& event : source->take_events()) {
            switch (event.kind) {
                case mqtt::Event::Kind::connected:
                    spdlog::info("connected to the broker {}", config.broker.url);
                    take_effects(core.accept(cellar::BrokerState{true, event.at}));
                    broker_said = false;
                    break;
                case mqtt::Event::Kind::disconnected:
                    if (!broker_said)
                        spdlog::warn("no broker at {}: {}; trying on", config.broker.url, event.text);
                    broker_said = true;
                    take_effects(core.accept(cellar::BrokerState{false, event.at}));
                    break;
                case mqtt::Event::Kind::subscription_refused:
                case mqtt::Event::Kind::spool_failed:
                    spdlog::error("{}", event.text);
                    break;
            }
        }
    }

    /// The first of its kind and every hundredth: a chattering sensor must not flood the log.
    void log_reject(const sensors::Reject& reject) {
        const auto count = ++rejects_logged[reject.topic.substr(0, 200) + " " + reject.reason];
        if (rejects_logged.size() > 2'000) rejects_logged.clear();
        if (count == 1 || count % 100 == 0)
            spdlog::warn("not used ({}, {} so far): {}", reject.reason, count, reject.detail);
    }

    // ---- what the core wants done

    void take_effects(cellar::Effects&& effects) {
        for (const auto& transition : effects.transitions) {
            spdlog::info(
                "alarm {} {}: {}", transition.alarm,
                transition.state == alarms::State::normal ? "cleared" : alarms::name(transition.state),
                transition.text);
            server.notify(web::Event::alarm(transition));
            publish_alarm(transition);
        }
        for (const auto& fact : effects.facts)
            spdlog::info("{}: {}{}. {}", fact.vessel, estimation::name(fact.fact.kind),
                         fact.fact.revoked ? " taken back" : "",
                         fact.fact.revoked ? fact.fact.revoked_because : fact.fact.evidence);
        for (const auto& batch : effects.batches) changed.insert(batch.plan.vessel);
        ledger.add(std::move(effects));
    }

    std::vector<std::string> carry_out(const cellar::Command& command) {
        take_effects(core.advance_to(clock()));
        if (const auto* start = std::get_if<cellar::StartBatch>(&command)) {
            const auto learned = store.learned();
            if (const auto curve = learned.find(start->plan.culture_name); curve != learned.end())
                core.teach(curve->first, curve->second);
        }
        auto effects = core.accept(command);
        auto problems = effects.problems;
        take_effects(std::move(effects));
        settle();
        return problems;
    }

    /// Commits when due, and only then lets the spool forget; then the phone.
    void settle() {
        const Timestamp now = clock();
        if (ledger.is_due(now))
            commit(now);
        else if (ledger.empty())
            release();
        deliveries.offer_due();
    }

    void commit(Timestamp now) {
        for (auto& [culture, curve] : core.take_learned()) ledger.add(culture, std::move(curve));
        if (!ledger.commit(now)) {
            for (const auto& notice : ledger.take_notices()) deliveries.offer_at_once(notice);
            return;
        }
        release();
        deliveries.offer_due();
    }

    void release() {
        if (!uncommitted) return;
        source->release(last_batch);
        uncommitted = false;
    }

    // ---- time

    void schedule() {
        timer.expires_after(round_every);
        timer.async_wait([this](const boost::system::error_code& error) {
            if (error || stopping) return;
            round();
            schedule();
        });
    }

    void round() {
        const Timestamp now = clock();
        take_broker_events();
        drain_leftover();
        take_effects(core.advance_to(now));
        settle();
        for (const std::string& vessel : changed) server.notify(web::Event::vessel_changed(vessel));
        changed.clear();
        if (now - last_state >= state_every || now < last_state) publish_states(now);
        keep_store(now);
        // The watchdog is fed by a loop that has judged. A store that fails is told by health, log and phone:
        // a restart would not mend a full disk, and the watch over the pressure must not end with it.
        lifesigns.alive();
    }

    void drain_leftover() {
        const auto batch = source->drain(messages_at_once);
        take(batch);
        if (batch.more) boost::asio::post(loop, [this] { drain(); });
    }

    void keep_store(Timestamp now) {
        try {
            if (now - last_checkpoint >= checkpoint_every) {
                store.checkpoint();
                last_checkpoint = now;
            }
            if (now - last_prune >= prune_every) {
                const auto kept = std::chrono::hours{24} * config.storage.keep_raw_days;
                if (store.prune(now - kept) == 0) last_prune = now;
            }
        } catch (const storage::StorageError& error) {
            spdlog::error("{}", error.what());
            last_checkpoint = last_prune = now;
        }
    }

    // ---- what others may know

    void publish_states(Timestamp now) {
        last_state = now;
        for (const auto& view : core.vessels()) {
            const auto state = json::vessel_json(view, config.site.display);
            source->publish(fmt::format("{}/{}/state", config.broker.publish_prefix, view.spec.id),
                            json::text(state), false, 0);
        }
    }

    void publish_alarm(const alarms::Transition& transition) {
        const auto vessel = transition.vessel.empty() ? std::string{"watch"} : transition.vessel;
        source->publish(fmt::format("{}/{}/alarm/{}", config.broker.publish_prefix, vessel, transition.rule),
                        json::text(json::alarm_json(transition, config.site.display)), true, 1);
    }

    web::Health health() const {
        web::Health health;
        health.broker_connected = source && source->figures().connected;
        health.store_ok = ledger.store_ok();
        health.last_reading = last_reading;
        health.last_commit = ledger.last_commit();
        if (!health.store_ok)
            health.problem = ledger.problem();
        else if (!health.broker_connected)
            health.problem = "not connected to the broker";
        health.ok = health.store_ok && health.broker_connected;
        return health;
    }

    web::WatchFigures figures() const {
        web::WatchFigures figures;
        const auto broker = source->figures();
        figures.readings_stored = ledger.stored();
        figures.messages_received = broker.received;
        figures.queue_depth = broker.queue_depth;
        figures.notices_delivered = deliveries.delivered();
        figures.notices_failed = deliveries.failed();
        figures.outbox_pending = store.outbox().pending();
        figures.last_commit_seconds = ledger.last_commit_seconds();
        figures.started = started;
        return figures;
    }

    void stop() {
        if (stopping) return;
        source->stop();
        for (bool more = true; more;) {
            const auto batch = source->drain(messages_at_once);
            take(batch);
            more = batch.more;
        }
        stopping = true;
        take_effects(core.advance_to(clock()));
        commit(clock());
        timer.cancel();
        server.stop();
        deliveries.stop();
        try {
            store.checkpoint();
        } catch (const storage::StorageError& error) {
            spdlog::error("{}", error.what());
        }
    }

    boost::asio::io_context& loop;
    config::Config config;
    Lifesigns lifesigns;
    std::function<Timestamp()> clock;
    storage::Store store;
    sensors::Intake intake;
    cellar::Cellar core;
    Ledger ledger;
    Deliveries deliveries;
    boost::asio::steady_timer timer;
    Answers answers;
    Past past;
    web::Server server;
    std::unique_ptr<mqtt::Source> source;  ///< last: input ends before its consumers

    Timestamp started{}, last_state{}, last_checkpoint{}, last_prune{};
    std::optional<Timestamp> last_reading;
    std::uint64_t last_batch = 0;
    bool uncommitted = false, stopping = false, broker_said = false;
    std::set<std::string> changed;
    std::map<std::string, std::uint64_t> rejects_logged;
};

App::App(boost::asio::io_context& loop, config::Config config, Lifesigns lifesigns,
         std::function<base::Timestamp()> clock)
    : state_{std::make_unique<State>(loop, std::move(config), std::move(lifesigns), std::move(clock))} {}

App::~App() {
    state_->stop();
}

void App::start() {
    State& state = *state_;
    state.take_effects(state.core.advance_to(state.clock()));
    state.server.start();
    state.source->start();
    state.drain();                 // what the spool kept
    state.deliveries.offer_due();  // what the last run could not deliver
    state.schedule();
    state.lifesigns.ready();
}

void App::stop() {
    state_->stop();
}
std::uint16_t App::port() const {
    return state_->server.port();
}

}  // namespace gyled::app
