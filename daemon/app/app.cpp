#include "daemon/app/app.hpp"

#include <spdlog/spdlog.h>

#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/app/announcer.hpp"
#include "daemon/app/answers.hpp"
#include "daemon/app/deliveries.hpp"
#include "daemon/app/health.hpp"
#include "daemon/app/housekeeping.hpp"
#include "daemon/app/past.hpp"
#include "daemon/app/pipeline_store.hpp"
#include "daemon/app/translate.hpp"
#include "daemon/app/watch_clock.hpp"
#include "daemon/config/core_spec.hpp"
#include "daemon/pipeline/pipeline.hpp"
#include "daemon/storage/keeper.hpp"
#include "daemon/web/server.hpp"

namespace gyled::app {
namespace {

using base::Timestamp;

constexpr auto round_every = std::chrono::seconds{1};

/// A busy stream is taken in groups of so long: to be woken for each message costs more than the message. No
/// alarm of a quiet stream waits for it, and a person does not notice it in any.
constexpr auto gathered_for = std::chrono::milliseconds{4};

/// Grid steps of belief between two turns of the loop: a correction of a batch of months must not keep the
/// watch over the pressure waiting. A step takes 0.4 to 0.6 ms on average and 6 ms at most
/// (tests/bench/estimator_bench), so eight stay near 5 ms.
constexpr std::size_t steps_at_once = 8;

cellar::CellarSpec sliced_core_spec(const config::Config& config) {
    cellar::CellarSpec spec = config::core_spec(config);
    spec.steps_at_once = steps_at_once;
    return spec;
}

/// When the last run ended, by the watch's own time; the beginning of time when there was none, or when the
/// store cannot say.
Timestamp last_word(const storage::Keeper& database) try {
    Timestamp last{};
    for (const cellar::VesselState& state : database.queries().vessel_states())
        last = std::max(last, state.at);
    return last;
} catch (const storage::StorageError&) {
    return {};
}

}  // namespace

/// In the order of construction: who is used stands above who uses.
struct App::State {
    State(boost::asio::io_context& l, config::Config c, Lifesigns signs, base::Clock faces,
          const MakeSource& make_source)
        : loop{l},
          config{std::move(c)},
          lifesigns{std::move(signs)},
          database{{.path = config.storage.path}, faces.wall()},
          store{database},
          watch_clock{std::move(faces), last_word(database)},
          clock{watch_clock.function()},
          housekeeping{database, housekeeping_parameters(config), prune_time()},
          source{open_source(make_source)},
          deliveries{loop,
                     database,
                     config,
                     clock,
                     {.publish = [this](const std::string& topic,
                                        const std::string& text) { source->publish(topic, text, false, 1); },
                      .is_connected = [this] { return source->figures().connected; }}},
          announcer{config, *source, deliveries, [this](const web::Event& event) { server.notify(event); }},
          pipeline{cellar::Cellar{sliced_core_spec(config)},
                   sensors::Intake{config.sensors},
                   *source,
                   store,
                   announcer,
                   pipeline_parameters(config)},
          health{pipeline, *source, database, store, deliveries, announcer, watch_clock},
          answers{{config, pipeline.core(), pipeline.intake(), [this] { return health.health(); },
                   [this] { return health.figures(); },
                   [this](const cellar::Command& command) { return pipeline.carry_out(command, clock()); },
                   [this](const std::vector<sensors::Reading>& readings, bool is_last) {
                       return pipeline.take_history(readings, is_last, clock());
                   },
                   clock}},
          past{config.storage.path},
          server{loop, answers, past, web_settings(config)},
          timer{loop},
          gathering{loop} {
        database.describe(config.vessels, config.site.display, config.site.name);
        if (watch_clock.timekeeper().is_unset())
            pipeline.resume_without_time();
        else
            pipeline.resume(clock());
        generation = database.generation();
        announcer.resumed(pipeline.core());
    }

    std::unique_ptr<mqtt::Source> open_source(const MakeSource& make_source) {
        auto filters = sensors::Intake{config.sensors}.topic_filters();
        const auto wake = [this] { boost::asio::post(loop, [this] { drain_soon(); }); };
        if (make_source) return make_source(std::move(filters), wake);
        mqtt::Settings settings = mqtt_settings(config, std::move(filters));
        settings.clock_is_set = [this] { return watch_clock.is_set(); };
        return mqtt::connect_to_broker(std::move(settings), clock, wake);
    }

    /// What does not work is known to the core before it judges.
    void advance(Timestamp now) {
        const base::Impairments before = health.impairments();
        health.round(now);
        if (!base::are_the_same(before, health.impairments())) server.notify(web::Event::watch_changed());
        pipeline.note(health.impairments(), now);
        pipeline.advance(now);
    }

    /// What runs is not refused when it comes to the plate: it is told.
    void tell_of_running_plans() const {
        for (const cellar::VesselView& view : pipeline.core().vessels())
            if (view.batch)
                for (const batch::Finding& finding : view.batch->findings)
                    spdlog::warn("{}, {}: {}", view.spec.id, batch::name(finding.severity), finding.text);
    }

    void start() {
        advance(clock());
        tell_of_running_plans();
        server.start();
        source->start();
        drain();             // what the spool kept
        deliveries.round();  // what the last run could not deliver
        schedule();
        lifesigns.ready();
    }

    void drain_soon() {
        const auto earliest = drained_at + gathered_for;
        if (std::chrono::steady_clock::now() >= earliest) return drain();
        gathering.expires_at(earliest);
        gathering.async_wait([this](const boost::system::error_code& error) {
            if (!error) drain();
        });
    }

    void drain() {
        if (stopping) return;
        drained_at = std::chrono::steady_clock::now();
        look_at_the_clock();
        if (pipeline.drain(clock())) boost::asio::post(loop, [this] { drain(); });
    }

    void schedule() {
        timer.expires_after(round_every);
        timer.async_wait([this](const boost::system::error_code& error) {
            if (error || stopping) return;
            round();
            schedule();
        });
    }

    [[nodiscard]] PruneTime prune_time() const {
        const Timestamp last = last_word(database);
        return {last == Timestamp{} ? clock() : last, watch_clock.steady(), housekeeping_parameters(config)};
    }

    void look_at_the_clock() {
        const auto set = watch_clock.look();
        if (!set) return;
        while (pipeline.drain(set->from)) {  // stamped by the time that is about to change
        }
        watch_clock.follow();
        pipeline.set_clock(*set);
        housekeeping.clock_was_set(watch_clock.steady());
    }

    void round() {
        drain();
        const Timestamp now = clock();
        look_after_store(now);
        advance(now);
        announcer.round(pipeline.core(), now);
        deliveries.round();
        housekeeping.round(now, watch_clock.steady());
        // The watchdog is fed by a loop that has judged. A store that fails is told by health, log and phone:
        // a restart would not mend a full disk, and the watch over the pressure must not end with it.
        lifesigns.alive();
    }

    void look_after_store(Timestamp now) {
        database.round(now);
        if (std::exchange(generation, database.generation()) != database.generation())
            pipeline.store_renewed(now);
    }

    void stop() {
        if (std::exchange(stopping, true)) return;
        pipeline.stop(clock());
        timer.cancel();
        gathering.cancel();
        server.stop();
        deliveries.stop();
        housekeeping.finish();
    }

    boost::asio::io_context& loop;
    const config::Config config;
    Lifesigns lifesigns;
    storage::Keeper database;
    PipelineStore store;
    WatchClock watch_clock;
    std::function<Timestamp()> clock;  ///< the watch's time
    Housekeeping housekeeping;
    std::unique_ptr<mqtt::Source> source;
    Deliveries deliveries;
    Announcer announcer;
    pipeline::Pipeline pipeline;
    HealthOf health;
    Answers answers;
    Past past;  ///< belongs to the server's reading thread
    web::Server server;
    boost::asio::steady_timer timer, gathering;
    std::chrono::steady_clock::time_point drained_at;
    std::uint64_t generation = 0;  ///< of the store's file, as the pipeline knows it
    bool stopping = false;
};

App::App(boost::asio::io_context& loop, config::Config config, Lifesigns lifesigns, base::Clock clock,
         const MakeSource& make_source)
    : state_{std::make_unique<State>(loop, std::move(config), std::move(lifesigns), std::move(clock),
                                     make_source)} {}

App::~App() {
    state_->stop();
}
void App::start() {
    state_->start();
}
void App::stop() {
    state_->stop();
}
std::uint16_t App::port() const {
    return state_->server.port();
}

}  // namespace gyled::app
