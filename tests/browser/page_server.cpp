/// The page with the invented cellar behind it, for the browser test. Prints its port, then does what it is
/// told on standard input, one line each, and answers "done":
///     read VESSEL QUANTITY VALUE     a reading arrives
///     units us | metric
///     brewday                        "south" heats its strike water
///     calm                           no alarm stands, all readings are fresh
///     press PERCENT                  north's pressure comes to that much of its limit, its alarm stands
///     silence MINUTES                so long nothing was heard of any sensor
///     impair NAME WORDS...           something of the watch does not work, for two minutes now
///     mend                           all of it works again
///     doubt WORDS... | danger WORDS...   something of north's plan is so, in its next stage
///     hush                           the event streams are cut, as when a phone has slept
/// Ends with its input.

#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/streambuf.hpp>
#include <functional>
#include <iostream>
#include <sstream>

#include "daemon/web/server.hpp"
#include "tests/web/fake/harbour_cellar.hpp"

namespace {

using namespace gyled;
namespace asio = boost::asio;

/// As the app does: whoever carries out a command tells the open pages.
class TellingCellar final : public web::HarbourCellar {
public:
    base::Result<web::Understood, web::Problem> command(const cellar::Command& command) override {
        auto result = HarbourCellar::command(command);
        if (tell) tell();
        return result;
    }
    std::function<void()> tell;
};

void obey(std::istringstream line, TellingCellar& cellar, web::Server& server) {
    std::string verb, vessel, quantity;
    line >> verb;
    if (verb == "read") {
        double value = 0;
        line >> vessel >> quantity >> value;
        cellar.read(vessel, *base::quantity_named(quantity), value);
        server.notify(web::Event::vessel_changed(vessel));
    } else if (verb == "units") {
        line >> quantity;
        cellar.shown_as = quantity == "us" ? display::Display::us() : display::Display::metric();
    } else if (verb == "brewday") {
        cellar.begin_brew_day();
        server.notify(web::Event::vessel_changed("south"));
    } else if (verb == "calm") {
        cellar.be_calm();
        cellar.tell();
    } else if (verb == "press") {
        double percent = 0;
        line >> percent;
        cellar.press(percent / 100);
        server.notify(web::Event::vessel_changed("north"));
    } else if (verb == "silence") {
        int minutes = 0;
        line >> minutes;
        cellar.fall_silent(std::chrono::minutes{minutes});
        cellar.tell();
    } else if (verb == "impair") {
        base::Impairment impairment;
        line >> impairment.name >> std::ws;
        std::getline(line, impairment.text);
        impairment.since = cellar.clock - std::chrono::minutes{2};
        cellar.impairments.push_back(impairment);
        server.notify(web::Event::watch_changed());
    } else if (verb == "mend") {
        cellar.impairments.clear();
        server.notify(web::Event::watch_changed());
    } else if (verb == "doubt" || verb == "danger") {
        batch::Finding finding;
        finding.severity = verb == "doubt" ? batch::Severity::doubtful : batch::Severity::dangerous;
        finding.stage = 4;
        finding.key = "head_pressure_kpa";
        line >> std::ws;
        std::getline(line, finding.text);
        cellar.findings = {finding};
        cellar.vessel("north").batch->findings = cellar.findings;
        server.notify(web::Event::vessel_changed("north"));
    } else if (verb == "hush") {
        server.stop();
        server.start();
    }
}

}  // namespace

int main(int argc, char** argv) {
    asio::io_context loop;
    TellingCellar cellar;
    // A port may be asked for, so that the server can be restarted on it.
    web::Server server{loop,
                       cellar,
                       cellar,
                       {.listen = std::string{"127.0.0.1:"} + (argc > 1 ? argv[1] : "0"),
                        .write_token = "a-long-and-secret-word"}};
    server.start();
    cellar.tell = [&] {
        server.notify(web::Event::vessel_changed("north"));
        server.notify(web::Event::vessel_changed("south"));
    };
    std::cout << server.port() << std::endl;

    asio::posix::stream_descriptor input{loop, ::dup(0)};
    asio::streambuf buffer;
    std::function<void()> listen = [&] {
        asio::async_read_until(input, buffer, '\n', [&](boost::system::error_code error, std::size_t) {
            if (error) {
                server.stop();
                return;
            }
            std::istream lines{&buffer};
            std::string line;
            std::getline(lines, line);
            obey(std::istringstream{line}, cellar, server);
            std::cout << "done" << std::endl;
            listen();
        });
    };
    listen();
    loop.run();
}
