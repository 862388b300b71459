#include "sensors/virtual_vessel/plant/plant.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "sensors/virtual_vessel/plant/carbon_dioxide.hpp"
#include "sensors/virtual_vessel/plant/fermentation.hpp"
#include "sensors/virtual_vessel/plant/head_space.hpp"
#include "sensors/virtual_vessel/plant/heating.hpp"
#include "sensors/virtual_vessel/plant/steam.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr Duration cold_step = std::chrono::seconds{30};
constexpr Duration hot_step = std::chrono::seconds{5};
/// Heat of fermentation, kJ per g of extract: common practice.
constexpr double heat_kj_per_g = 0.58;
constexpr double latent_kj_per_kg = 2257.0;
constexpr double default_leak_mmol_per_h_kpa = 0.1;
constexpr double default_creep_points = 3.0;
constexpr double mashing_h = 0.35;  // time constant of the starch: common practice
constexpr double co2_of_fresh_wort = 0.02;
constexpr double settled_within_sg = 0.0005;
/// Purposes of chance; a new one must not disturb the others.
enum Stream : std::uint64_t { yeast_stream = 1, vessel_stream = 2, weather_stream = 3 };

/// Air and room, from sines whose phases are drawn.
struct Surroundings {
    double phase[3];

    explicit Surroundings(Random random) {
        for (double& p : phase) p = random.between(0, 2 * std::numbers::pi);
    }
    [[nodiscard]] double ambient_kpa(const VesselOptions& v, double hours) const {
        const double slow = std::sin(2 * std::numbers::pi * hours / 96.0 + phase[0]);
        const double quick = std::sin(2 * std::numbers::pi * hours / 37.0 + phase[1]);
        return air_pressure_kpa(v.elevation_m) + v.weather_kpa * (0.7 * slow + 0.3 * quick);
    }
    [[nodiscard]] double room_c(const VesselOptions& v, Timestamp at, double hours) const {
        const double of_day = std::fmod(base::unix_seconds(at) / 3600.0, 24.0);
        const double day = std::cos(2 * std::numbers::pi * (of_day - 16.0) / 24.0);
        const double spell = std::sin(2 * std::numbers::pi * hours / 130.0 + phase[2]);
        return v.room_c + v.room_swing_c * (day + 0.5 * spell);
    }
};

Scenario refused_when_wrong(Scenario scenario) {
    const std::vector<std::string> mistakes = mistakes_in(scenario);
    if (mistakes.empty()) return scenario;
    std::string all = "this batch cannot be simulated:";
    for (const std::string& mistake : mistakes) all += "\n  " + mistake;
    throw std::invalid_argument{all};
}

Family family_of(const Scenario& s) {
    return s.family.value_or(all_families[s.seed % all_families.size()]);
}

Fermentation pitched(const Scenario& s) {
    Random random{s.seed, yeast_stream};
    Fermentation fresh{draw_yeast(s.culture, family_of(s), random), s.original_gravity};
    if (s.fermented_already) fresh.finish_at_once();
    return fresh;
}

/// Nothing ferments on the hot side.
std::optional<Fermentation> begun_with(const Scenario& s) {
    if (!base::is_cold_side(s.stages.front().kind)) return std::nullopt;
    return pitched(s);
}

}  // namespace

struct Plant::State {
    explicit State(Scenario given);

    /// All of a step but the gas, which changes nothing else: mol of CO2 made.
    double step_beer(Duration span);
    void step(Duration span);
    void enter(std::size_t stage_index);
    void brew(const Stage& stage);
    void pitch();
    void set_volume(double litres);
    void begin(const Trouble& trouble);
    [[nodiscard]] bool suffers(TroubleKind kind) const;
    [[nodiscard]] double leak() const;
    [[nodiscard]] double set_point_c() const;
    [[nodiscard]] Duty duty() const;
    [[nodiscard]] Ways ways() const;
    [[nodiscard]] double wort_sg_now() const;
    [[nodiscard]] double sg() const;
    [[nodiscard]] Liquid liquid() const;
    [[nodiscard]] const Stage& stage() const { return scenario.stages[stage_index]; }
    [[nodiscard]] bool is_hot() const { return !base::is_cold_side(stage().kind); }
    void refresh();
    void foresee();

    Scenario scenario;
    Surroundings surroundings;
    double volume_scale = 1;
    double head_scale = 1;
    Timestamp asked;  ///< what time() says
    Timestamp now;    ///< the last whole step
    double elapsed_h = 0;
    std::size_t stage_index = 0;
    double stage_from_c = 0;  ///< set point when the stage began
    double litres = 0;        ///< as the brewer reads it
    double grain_kg = 0;
    double mashed_h = 0;
    std::optional<Fermentation> fermentation;
    GasSpace gas;
    Heating heating;
    std::vector<Trouble> waiting;   ///< not begun
    std::vector<Trouble> troubles;  ///< begun; start_hours since the beginning
    double produced_mol = 0;
    double started_mol = 0;
    double air_started_mol = 0;
    double evolution_vol_per_h = 0;
    double ambient_kpa = 0;
    double room_c = 0;
    Truth truth;
};

namespace {

GasSpace::Shape shape_of(const Scenario& s, double beer_l, double head_l) {
    Random random{s.seed, vessel_stream};
    GasSpace::Shape shape;
    shape.beer_l = beer_l;
    shape.head_l = head_l;
    shape.salting_out = draw_salting_out(random);
    shape.transfer = draw_transfer(random);
    shape.valves = draw_valves(random);
    shape.salting_out.fixed_factor = s.vessel.solubility_factor.value_or(0);
    shape.transfer.still_per_h = s.vessel.still_kla_per_h.value_or(shape.transfer.still_per_h);
    return shape;
}

double head_space_of(const Scenario& s, double litres) {
    return std::max(0.02 * s.vessel.total_volume_l, s.vessel.total_volume_l - litres);
}

double volume_scale_of(const Scenario& s, std::uint64_t which) {
    return 1.0 + s.vessel.volume_error * Random{s.seed, 10 + which}.between(-1, 1);
}

}  // namespace

Plant::State::State(Scenario given)
    : scenario{refused_when_wrong(std::move(given))},
      surroundings{Random{scenario.seed, weather_stream}},
      volume_scale{volume_scale_of(scenario, 0)},
      head_scale{volume_scale_of(scenario, 1)},
      asked{scenario.begin},
      now{scenario.begin},
      stage_from_c{scenario.start_temperature_c},
      litres{base::is_cold_side(scenario.stages.front().kind) ? scenario.volume_l
                                                              : scenario.brew_day->strike_volume_l},
      fermentation{begun_with(scenario)},
      gas{shape_of(scenario, litres * volume_scale, head_space_of(scenario, litres) * head_scale),
          {scenario.start_temperature_c, surroundings.ambient_kpa(scenario.vessel, 0),
           scenario.start_co2_volumes.value_or(co2_of_fresh_wort), scenario.start_co2_volumes.has_value(),
           liquid()}},
      heating{{scenario.vessel.chiller_w, scenario.vessel.jacket_heater_w, scenario.vessel.element_w,
               scenario.vessel.thermostat_band_c},
              scenario.start_temperature_c,
              scenario.vessel.room_c},
      waiting{scenario.troubles} {
    started_mol = gas.dissolved_mol() + gas.head_mol();
    air_started_mol = gas.air_mol();
    heating.set_contents(litres * volume_scale, 0);
    ambient_kpa = surroundings.ambient_kpa(scenario.vessel, 0);
    room_c = surroundings.room_c(scenario.vessel, now, 0);
    enter(0);
}

void Plant::State::set_volume(double new_litres) {
    litres = new_litres;
    gas.set_volumes(litres * volume_scale, head_space_of(scenario, litres) * head_scale);
    heating.set_contents(litres * volume_scale, grain_kg);
}

void Plant::State::enter(std::size_t index) {
    stage_from_c = index == 0 ? scenario.start_temperature_c : set_point_c();
    const bool was_mashing = index > 0 && grain_kg > 0;
    stage_index = index;
    if (stage().kind == StageKind::mash && grain_kg == 0) {
        grain_kg = scenario.brew_day->grain_kg;
        heating.dough_in(grain_kg, scenario.brew_day->grain_c);
    }
    if (stage().kind == StageKind::boil && was_mashing) {
        const bool boils_on = index + 1 < scenario.stages.size();
        const double hours = boils_on ? scenario.stages[index + 1].start_hours - stage().start_hours : 1.0;
        grain_kg = 0;
        set_volume(std::min(0.98 * scenario.vessel.total_volume_l,
                            scenario.volume_l + scenario.brew_day->boil_off_l_per_h * hours));
    }
    if (!is_hot() && !fermentation) pitch();
}

void Plant::State::pitch() {
    grain_kg = 0;
    if (litres != scenario.volume_l) set_volume(scenario.volume_l);
    fermentation.emplace(pitched(scenario));
}

bool Plant::State::suffers(TroubleKind kind) const {
    return std::ranges::any_of(
        troubles, [&](const Trouble& t) { return t.kind == kind && elapsed_h < t.start_hours + t.hours; });
}

double Plant::State::leak() const {
    double sum = scenario.vessel.leak_mmol_per_h_kpa;
    for (const Trouble& t : troubles)
        if (t.kind == TroubleKind::leak && elapsed_h < t.start_hours + t.hours)
            sum += t.amount > 0 ? t.amount : default_leak_mmol_per_h_kpa;
    return sum;
}

void Plant::State::begin(const Trouble& trouble) {
    troubles.push_back(trouble);
    if (!fermentation) return;
    if (trouble.kind == TroubleKind::stuck) fermentation->give_up();
    if (trouble.kind == TroubleKind::late_creep)
        fermentation->free_more(trouble.amount > 0 ? trouble.amount : default_creep_points);
}

double Plant::State::set_point_c() const {
    const Stage& s = stage();
    if (s.ramp_c_per_hour <= 0) return s.temperature_c;
    const double walked = s.ramp_c_per_hour * (elapsed_h - s.start_hours);
    const double way = s.temperature_c - stage_from_c;
    return std::abs(way) <= walked ? s.temperature_c : stage_from_c + std::copysign(walked, way);
}

Duty Plant::State::duty() const {
    Duty d;
    switch (stage().kind) {
        case StageKind::strike:
        case StageKind::mash:
        case StageKind::mash_out:
        case StageKind::sparge:
            d.kind = Duty::Kind::element;
            break;
        case StageKind::boil:
            d.kind = Duty::Kind::boil;
            break;
        case StageKind::chill:
            d.kind = Duty::Kind::plunge;
            break;
        default:
            d.kind = Duty::Kind::hold;
            break;
    }
    d.set_point_c = set_point_c();
    if (fermentation)
        d.reaction_w = heat_kj_per_g * fermentation->rate_g_per_l_h() * litres * volume_scale / 3.6;
    d.room_c = room_c;
    if (is_hot()) {
        d.boiling_point_c = boiling_point_c(ambient_kpa);
        d.simmer_w = scenario.brew_day->boil_off_l_per_h * latent_kj_per_kg / 3.6 + 250.0;
    }
    d.chiller_works = !suffers(TroubleKind::chiller_failure);
    d.heater_works = !suffers(TroubleKind::heater_failure);
    return d;
}

Ways Plant::State::ways() const {
    Ways w;
    w.mode = stage().head_space;
    w.ambient_kpa = ambient_kpa;
    w.set_kpa = ambient_kpa + stage().head_pressure_kpa;
    w.relief_kpa = ambient_kpa + scenario.vessel.relief_pressure_kpa;
    w.leak = leak() / 1000.0;
    w.vent_blocked = suffers(TroubleKind::shut_vent);
    w.lid_open = is_hot();
    w.supply_shut = suffers(TroubleKind::shut_supply);
    return w;
}

/// Extract dissolves while mashing and stays while water boils away.
double Plant::State::wort_sg_now() const {
    const double og = scenario.original_gravity;
    const double kg_per_l = water_g_per_l_at_20_c / 1000.0;
    const double all_kg = wort_extract_g_per_l(og) * scenario.volume_l / 1000.0;
    const double water_at_end = og * kg_per_l * scenario.volume_l - all_kg;
    const bool still_mash = grain_kg > 0 || mashed_h == 0;
    const double water =
        still_mash ? litres * kg_per_l : water_at_end + (litres - scenario.volume_l) * kg_per_l;
    const double extract = all_kg * (still_mash ? -std::expm1(-mashed_h / mashing_h) : 1.0);
    return wort_sg(100.0 * extract / (extract + water));
}

double Plant::State::sg() const {
    return fermentation ? fermentation->beer().sg : wort_sg_now();
}

Liquid Plant::State::liquid() const {
    if (!fermentation) return {0, wort_extract_g_per_l(wort_sg_now())};
    const BeerState beer = fermentation->beer();
    return {beer.alcohol_by_volume, beer.extract_g_per_l};
}

void Plant::State::brew(const Stage& now_in) {
    if (grain_kg > 0) mashed_h += base::hours_between(Timestamp{}, Timestamp{hot_step});
    if (now_in.kind != StageKind::boil) return;
    const double steam = heating.take_steam_kg();
    if (steam > 0) set_volume(std::max(0.5, litres - steam / 0.96));
}

double Plant::State::step_beer(Duration span) {
    const double hours = static_cast<double>(span.count()) / 3'600'000.0;
    now += span;
    elapsed_h = base::hours_between(scenario.begin, now);
    ambient_kpa = surroundings.ambient_kpa(scenario.vessel, elapsed_h);
    room_c = surroundings.room_c(scenario.vessel, now, elapsed_h);

    while (stage_index + 1 < scenario.stages.size() &&
           elapsed_h >= scenario.stages[stage_index + 1].start_hours)
        enter(stage_index + 1);
    const auto is_due = [&](const Trouble& t) {
        const bool reached = t.kind != TroubleKind::stuck || t.amount <= 0 ||
                             (fermentation && fermentation->drop_done() >= t.amount);
        return elapsed_h >= t.start_hours && reached;
    };
    for (const Trouble& t : waiting)
        if (is_due(t)) begin(t);
    std::erase_if(waiting, is_due);

    heating.step(hours, duty());
    if (!fermentation) {
        brew(stage());
        return 0;
    }
    fermentation->step(hours, heating.beer_c());
    return fermentation->co2_g_per_l_h() * hours * litres * volume_scale / co2_g_per_mol;
}

void Plant::State::step(Duration span) {
    const double made_mol = step_beer(span);
    const double hours = static_cast<double>(span.count()) / 3'600'000.0;
    produced_mol += made_mol;
    evolution_vol_per_h = made_mol / hours / (litres * volume_scale) * volume_l_per_mol;
    gas.step(hours, heating.beer_c(), made_mol, liquid(), ways());
}

void Plant::State::refresh() {
    Truth& t = truth;
    t.time = now;
    t.stage = stage().kind;
    t.head_space = stage().head_space;
    t.set_point_c = set_point_c();
    t.original_gravity = scenario.original_gravity;
    t.sg = sg();
    if (fermentation) {
        const BeerState beer = fermentation->beer();
        t.alcohol_by_volume = beer.alcohol_by_volume;
        t.rate_sg_per_day = beer.rate_sg_per_day;
    }
    t.evolution_vol_per_h = evolution_vol_per_h;
    t.co2_volumes = gas.dissolved_volumes();
    t.co2_equilibrium_volumes = gas.equilibrium_volumes();
    t.head_pressure_kpa = gas.pressure_kpa() - ambient_kpa;
    t.ambient_kpa = ambient_kpa;
    t.head_co2_fraction = gas.co2_fraction();
    const bool supplied = stage().head_space == HeadSpace::supplied && !suffers(TroubleKind::shut_supply);
    t.supply_pressure_kpa = supplied ? stage().head_pressure_kpa : 0;
    t.relief_open = gas.relief_open();
    t.beer_c = heating.beer_c();
    t.jacket_c = heating.jacket_c();
    t.room_c = room_c;
    t.chilling = heating.chilling() && !suffers(TroubleKind::chiller_failure);
    t.heating = heating.heating() && !suffers(TroubleKind::heater_failure);
    t.volume_l = gas.shape().beer_l;
    t.head_space_l = gas.shape().head_l;
    t.solubility_factor = gas.solubility_factor();
    t.kla_per_h = gas.kla_per_h();
    t.leak_mmol_per_h_kpa = leak();
    t.co2_started_mol = started_mol;
    t.co2_produced_mol = produced_mol;
    t.co2_supplied_mol = gas.supplied_mol();
    t.co2_dissolved_mol = gas.dissolved_mol();
    t.co2_head_mol = gas.head_mol();
    t.co2_lost_mol = gas.lost_mol();
    t.air_started_mol = air_started_mol;
    t.air_in_mol = gas.air_in_mol();
    t.air_head_mol = gas.air_mol();
    t.air_out_mol = gas.air_out_mol();
}

/// Lives the rest of the scenario in a copy, to know where this batch ends.
void Plant::State::foresee() {
    const auto is_settled = [](double sg, double end) { return std::abs(sg - end) <= settled_within_sg; };
    State ahead = *this;
    const Timestamp end = scenario.begin + base::hours(scenario.duration_hours);
    std::vector<std::pair<Timestamp, double>> hourly;
    hourly.emplace_back(ahead.now, ahead.sg());
    while (ahead.now < end) {
        const Timestamp next = ahead.now + std::chrono::hours{1};
        while (ahead.now < next) ahead.step_beer(ahead.is_hot() ? hot_step : cold_step);
        hourly.emplace_back(ahead.now, ahead.sg());
    }
    truth.terminal_sg = hourly.back().second;
    auto first = hourly.end();
    while (first != hourly.begin() && is_settled(std::prev(first)->second, truth.terminal_sg)) --first;
    const bool settled_before = first == hourly.begin() && truth.finish != Timestamp{} && truth.finish <= now;
    if (!settled_before) truth.finish = first->first;
}

Plant::Plant(Scenario scenario) : state_{std::make_unique<State>(std::move(scenario))} {
    state_->foresee();
    state_->refresh();
}
Plant::Plant(const Plant& other) : state_{std::make_unique<State>(*other.state_)} {}
Plant& Plant::operator=(const Plant& other) {
    if (this != &other) state_ = std::make_unique<State>(*other.state_);
    return *this;
}
Plant::Plant(Plant&&) noexcept = default;
Plant& Plant::operator=(Plant&&) noexcept = default;
Plant::~Plant() = default;

void Plant::advance(Duration span) {
    if (span.count() < 0) throw std::invalid_argument{"time does not run backwards in the vessel"};
    state_->asked += span;
    while (true) {
        const Duration step = state_->is_hot() ? hot_step : cold_step;
        if (state_->now + step > state_->asked) break;
        state_->step(step);
    }
    state_->refresh();
}

const Truth& Plant::truth() const {
    return state_->truth;
}
Timestamp Plant::time() const {
    return state_->asked;
}
const Scenario& Plant::scenario() const {
    return state_->scenario;
}
bool Plant::is_over() const {
    return state_->asked >= state_->scenario.begin + base::hours(state_->scenario.duration_hours);
}

double Plant::shut_in_kpa(double celsius) const {
    return state_->gas.settled_kpa(celsius, state_->liquid()) - state_->ambient_kpa;
}

void Plant::start(Trouble trouble) {
    trouble.start_hours = state_->elapsed_h;
    if (trouble.kind == TroubleKind::stuck && trouble.amount > 0)
        state_->waiting.push_back(trouble);
    else
        state_->begin(trouble);
    state_->foresee();
    state_->refresh();
}

void Plant::end(TroubleKind kind) {
    std::erase_if(state_->troubles, [&](const Trouble& t) { return t.kind == kind; });
    std::erase_if(state_->waiting, [&](const Trouble& t) { return t.kind == kind; });
    state_->foresee();
    state_->refresh();
}

}  // namespace gyled::virtual_vessel
