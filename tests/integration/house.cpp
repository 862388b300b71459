#include "tests/integration/house.hpp"

#include <algorithm>
#include <csignal>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "daemon/cli/client.hpp"
#include "daemon/mqtt/spool.hpp"
#include "daemon/storage/queries.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/mqtt_peer.hpp"

namespace gyled::integration {
namespace {

std::string sensor(const std::string& measures, const std::string& field, const std::string& unit) {
    return "[[sensor]]\nid = \"" + measures + "\"\nvessel = \"north\"\nmeasures = \"" + measures +
           "\"\ntopic = \"cellar/north/" + measures + "\"\npayload = \"json\"\npointer = \"/" + field +
           "\"\ntime = \"/ts\"\nunit = \"" + unit + "\"\n";
}

}  // namespace

House::House(const std::string& more_configuration) {
    broker.start();
    std::ofstream{folder_ / "gyled.toml"}
        << "[broker]\nurl = \"" << broker.url() << "\"\n"
        << "[site]\nname = \"Harbour cellar\"\nelevation_m = 5\ntime_zone = \"Europe/Lisbon\"\n"
        << "[storage]\npath = \"gyled.db\"\ncommit_every = \"1s\"\n"
        << "[[vessel]]\nid = \"north\"\nname = \"North\"\ntotal_volume_l = 26.0\nworking_pressure_kpa = 200\n"
        << "relief_pressure_kpa = 180\n"
        << sensor("beer_temperature", "celsius", "degC") << sensor("gravity", "sg", "SG")
        << sensor("head_pressure", "kpa", "kPa")  //
        << "[[messenger]]\nkind = \"push\"\nname = \"phone\"\nurl = \"" << phone.url()
        << "\"\ntopic = \"harbour\"\n"
        << "[web]\nlisten = \"\"\nsocket = \"gyled.sock\"\n"
        << more_configuration;
}

void House::edit_config(const std::string& from, const std::string& to) const {
    const std::string file = folder_ / "gyled.toml";
    std::string text = [&] {
        std::ifstream in{file};
        return std::string{std::istreambuf_iterator<char>{in}, {}};
    }();
    const std::size_t at = text.find(from);
    if (at == text.npos) throw std::logic_error("the configuration does not say: " + from);
    std::ofstream{file, std::ios::trunc} << text.replace(at, from.size(), to);
}

std::size_t House::fill_spool(std::size_t note_bytes) const {
    mqtt::Spool spool{database() + ".spool"};
    const base::Timestamp begin = wall_clock() - std::chrono::hours{24};
    for (std::size_t count = 0;; ++count) {
        Json payload{{"sg", 1.039}, {"ts", base::to_rfc3339(begin + count * std::chrono::milliseconds{100})}};
        if (note_bytes > 0) payload["note"] = std::string(note_bytes, 'x');
        if (spool.append(count + 1, {"cellar/north/gravity", payload.dump(), wall_clock(), false}))
            return count;
    }
}

void House::start_daemon(std::vector<std::string> wrapper) {
    for (std::string word : {std::string{GYLED}, std::string{"--config"}, folder_ / "gyled.toml"})
        wrapper.push_back(std::move(word));
    daemon_ = std::make_unique<Daemon>(std::move(wrapper), folder_ / "gyled.log");
    const bool answers =
        testing::eventually([this] { return !get("/api/vessels").is_null() || !daemon_->running(); });
    if (!answers || !daemon_->running())
        throw std::runtime_error("the daemon does not answer: " + daemon_log());
}

void House::await_subscription() const {
    // The daemon says "online" behind its subscriptions, on the same connection.
    testing::MqttPeer peer{broker.url(), "watcher"};
    peer.subscribe("gyled/status");
    while (const auto heard = peer.hear())
        if (heard->payload == "online") return;
    throw std::runtime_error("the daemon does not come online: " + daemon_log());
}

void House::kill_daemon() {
    daemon_->signal(SIGKILL);
    (void)daemon_->wait(std::chrono::seconds{10});
}

int House::stop_daemon() {
    daemon_->signal(SIGTERM);
    return daemon_->wait(std::chrono::seconds{10}).value_or(-1);
}

Json House::get(const std::string& target) const {
    cli::ClientRequest request;
    request.target = target;
    const auto answer = cli::ask(folder_ / "gyled.sock", request);
    if (!answer) last_trouble_ = answer.error();
    if (!answer || (answer->status != 200 && answer->status != 503))
        return nullptr;  // 503: /health when it is not well
    return Json::parse(answer->body, nullptr, false);
}

std::string House::impairment(const std::string& name) const {
    const Json health = get("/health");
    if (!health.is_object()) return {};
    for (const Json& one : health.value("impairments", Json::array()))
        if (one.at("name") == name) return one.at("text").get<std::string>();
    return {};
}

bool House::phone_heard(const std::string& words) const {
    const auto heard = phone.heard();
    return std::any_of(heard.begin(), heard.end(),
                       [&](const notify::Heard& one) { return one.body.find(words) != std::string::npos; });
}

Ran House::gyle(std::vector<std::string> words) const {
    words.insert(words.begin(), GYLE);
    words.insert(words.end(), {"--socket", folder_ / "gyled.sock"});
    return run(words, folder_ / "gyle.out");
}

void House::start_batch(base::Timestamp since) {
    std::ofstream{folder_ / "batch.toml"}
        << "name = \"Harbour Mild\"\nvessel = \"north\"\nvolume_l = 21.0\noriginal_gravity = 1.040\n"
        << "expected_final_gravity = 1.010\ntarget_co2_volumes = 2.1\n"
        << "[[stage]]\nkind = \"ferment\"\nstart = " << base::to_rfc3339(since)
        << "\ntemperature_c = [15.0, 25.0]\nhead_space = \"vented\"\n";
    const Ran started = gyle({"batch", "start", folder_ / "batch.toml"});
    if (started.code != 0) throw std::runtime_error("the batch does not start: " + started.said);
}

std::size_t House::stored(const std::string& quantity, const std::string& file) const {
    const storage::ReadStore store{folder_ / file};
    std::size_t count = 0;
    store.for_each_reading(
        "north", base::Timestamp{}, wall_clock() + std::chrono::hours{1},
        [&](const cellar::ReadingPoint& p) { count += base::name(p.quantity) == quantity; });
    return count;
}

std::string document(const std::string& field, double value, base::Timestamp at) {
    return Json{{field, value}, {"ts", base::to_rfc3339(at)}}.dump();
}

base::Timestamp wall_clock() {
    return std::chrono::floor<base::Duration>(std::chrono::system_clock::now());
}

}  // namespace gyled::integration
