/// Prints what the whole daemon takes of memory against the age of its one batch, a reading a minute of
/// temperature, gravity and pressure: the real App over the real store, on a clock of the bench's and with a
/// double for the broker. The year ends now, so that the real gyled then starts from that store, and its
/// memory is printed as well. Usage: year_bench [sealed|supplied|vented] [days]

#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <boost/asio/io_context.hpp>
#include <cmath>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>

#include "daemon/app/app.hpp"
#include "daemon/app/log.hpp"
#include "daemon/cli/client.hpp"
#include "tests/integration/process.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/scripted_source.hpp"

namespace {

using namespace gyled;
using namespace std::chrono_literals;
using base::Timestamp;
namespace fs = std::filesystem;

/// A field of /proc/<process>/status, such as VmRSS, in MiB.
double memory_mib(const std::string& process, const std::string& field) {
    std::ifstream status{"/proc/" + process + "/status"};
    for (std::string word; status >> word;)
        if (word == field + ":") {
            double kib = 0;
            status >> kib;
            return kib / 1024;
        }
    return NAN;
}

void print(const std::string& what, const std::string& process) {
    fmt::print("{:<26}{:>8.1f}{:>8.1f}{:>8.1f}\n", what, memory_mib(process, "VmRSS"),
               memory_mib(process, "RssAnon"), memory_mib(process, "VmHWM"));
}

class Year {
public:
    Year(std::string head_space, int days, fs::path folder)
        : head_space_{std::move(head_space)},
          days_{days},
          folder_{std::move(folder)},
          keeps_{!folder_.empty()} {
        std::string name = (fs::temp_directory_path() / "gyled-year-XXXXXX").string();
        if (folder_.empty()) folder_ = ::mkdtemp(name.data());
        fs::create_directories(folder_);
        std::string sensors;
        for (const char* quantity : {"beer_temperature", "gravity", "head_pressure"})
            sensors += fmt::format("[[sensor]]\nvessel = \"north\"\nmeasures = \"{}\"\ntopic = \"{}\"\n",
                                   quantity, quantity);
        std::ofstream{folder_ / "gyled.toml"}
            << "[broker]\nurl = \"mqtt://127.0.0.1:9\"\n"  // the discard port: the daemon that starts from
                                                           // this store finds nobody
            << "[storage]\npath = \"gyled.db\"\n[web]\nlisten = \"\"\nsocket = \"gyled.sock\"\n"
            << "[[vessel]]\nid = \"north\"\ntotal_volume_l = 26.0\nworking_pressure_kpa = "
               "200\nrelief_pressure_kpa = 180\n"
            << sensors;
    }
    ~Year() {
        std::error_code ignored;
        if (!keeps_) fs::remove_all(folder_, ignored);
    }
    Year(const Year&) = delete;
    Year& operator=(const Year&) = delete;

    [[nodiscard]] bool is_over() const { return fs::exists(folder_ / "gyled.db"); }

    void live() {
        app::App app{loop_,
                     config::load_config(file("gyled.toml")).value(),
                     {},
                     [this] { return now_; },
                     [this](const auto&, auto wake) {
                         wake_ = std::move(wake);
                         auto made = std::make_unique<testing::ScriptedSource>();
                         source_ = made.get();
                         return made;
                     }};
        app.start();
        start_batch();
        constexpr std::array ages{1, 30, 60, 90, 180, 365};
        std::size_t age = 0;
        for (long minute = 0; minute <= days_ * 24L * 60; ++minute) {
            live_minute(minute);
            if (age < ages.size() && minute == ages[age] * 24L * 60)
                print(fmt::format("{} d", ages[age++]), "self");
        }
        app.stop();
        loop_.run();
    }

    void restart() const {
        integration::Process daemon{{GYLED, "--config", file("gyled.toml")}, file("gyled.log")};
        cli::ClientRequest question;
        question.target = "/api/vessels";
        const auto began = std::chrono::steady_clock::now();
        const bool answers = testing::eventually(
            [&] { return cli::ask(file("gyled.sock"), question) || !daemon.running(); }, 120s);
        if (!answers || !daemon.running())
            throw std::runtime_error("gyled does not start: " + daemon.output());
        const auto took = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
        print(fmt::format("gyled anew, up in {:.1f} s", took), std::to_string(daemon.pid()));
        daemon.signal(SIGTERM);
        (void)daemon.wait(10s);
    }

private:
    std::string file(const std::string& name) const { return (folder_ / name).string(); }

    void start_batch() {
        std::ofstream{folder_ / "batch.toml"}
            << "name = \"Harbour Mild\"\nvessel = \"north\"\nvolume_l = 21.0\noriginal_gravity = 1.048\n"
            << "target_co2_volumes = 2.4\n[[stage]]\nkind = \"condition\"\nhead_space = \"" << head_space_
            << "\"\n"
            << (head_space_ == "supplied" ? "head_pressure_kpa = 80\n" : "");
        integration::Process gyle{
            {GYLE, "batch", "start", file("batch.toml"), "--socket", file("gyled.sock")}, file("gyle.out")};
        while (gyle.running()) loop_.poll();
        if (gyle.wait(1s) != 0) throw std::runtime_error("the batch does not start: " + gyle.output());
    }

    void live_minute(long minute) {
        now_ = begin_ + 1min * minute;
        const double hours = static_cast<double>(minute) / 60;
        source_->send("beer_temperature", fmt::format("{:.2f}", 4 + 0.05 * noise_(random_)), now_);
        source_->send("gravity", fmt::format("{:.4f}", 1.010 + 0.0005 * noise_(random_)), now_);
        source_->send("head_pressure",
                      fmt::format("{:.2f}", 80 + 0.2 * noise_(random_) + 0.5 * std::sin(hours / 24)), now_);
        wake_();
        loop_.poll();
        source_->released.clear();
        source_->published.clear();
    }

    std::string head_space_;
    int days_;
    fs::path folder_;
    bool keeps_;
    Timestamp begin_ = std::chrono::floor<base::Duration>(std::chrono::system_clock::now()) - 24h * days_;
    Timestamp now_ = begin_;
    boost::asio::io_context loop_{1};
    std::function<void()> wake_;
    testing::ScriptedSource* source_ = nullptr;
    std::mt19937 random_{1};
    std::normal_distribution<double> noise_{0, 1};
};

}  // namespace

int main(int argc, char** argv) {
    const std::string head_space = argc > 1 ? argv[1] : "sealed";
    const int days = argc > 2 ? std::atoi(argv[2]) : 365;
    std::setvbuf(stdout, nullptr, _IOLBF, 0);  // shown as it comes
    app::log_to_stderr("error");
    fmt::print("{:<26}{:>8}{:>8}{:>8}\n", "MiB, " + head_space, "RSS", "of its own", "most");
    Year year{head_space, days, argc > 3 ? argv[3] : ""};
    if (!year.is_over()) year.live();
    year.restart();
}
