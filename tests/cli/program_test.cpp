/// The real program `gyle`: what it says, and that it does not claim to have done what it has not.

#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "tests/web/live_server.hpp"

namespace gyled::cli {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using web::LiveServer;
using web::ScratchFolder;

struct Ran {
    int code = -1;
    std::string out, talk;
};

std::string contents(const std::string& path) {
    std::ifstream file{path};
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
}

/// Runs gyle to its end; standard output goes to `out_path`.
Ran gyle(const std::vector<std::string>& arguments, const std::string& out_path,
         const std::string& talk_path) {
    std::vector<std::string> words{GYLE};
    words.insert(words.end(), arguments.begin(), arguments.end());
    std::vector<char*> argv;
    for (std::string& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);
    const pid_t pid = fork();
    if (pid == 0) {
        dup2(open(out_path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600), STDOUT_FILENO);
        dup2(open(talk_path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600), STDERR_FILENO);
        execv(argv.front(), argv.data());
        _exit(127);
    }
    int status = 0;
    waitpid(pid, &status, 0);
    const bool keeps = out_path != "/dev/full";
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, keeps ? contents(out_path) : "",
            contents(talk_path)};
}

class Program : public ::testing::Test {
protected:
    Ran run(std::vector<std::string> arguments) {
        return gyle(arguments, server.folder.file("out"), server.folder.file("talk"));
    }
    Ran run_on_full_disk(std::vector<std::string> arguments) {
        return gyle(arguments, "/dev/full", server.folder.file("talk"));
    }
    std::string socket() { return server.folder.file("s"); }

    LiveServer server;
};

TEST_F(Program, SaysWhatIsInThere) {
    const Ran status = run({"status", "--socket", socket()});

    EXPECT_EQ(status.code, 0) << status.talk;
    EXPECT_THAT(status.out, HasSubstr("Harbour Mild"));
    EXPECT_THAT(status.talk, IsEmpty());
}

TEST_F(Program, StatusOfOneVesselTellsOfTheWatchToo) {
    server.in_loop([&] {
        server.cellar.impairments = {{"broker_lost", "", "no connection to the broker", server.cellar.clock}};
        server.cellar.be_calm();
    });

    const Ran text = run({"status", "north", "--socket", socket()});
    EXPECT_EQ(text.code, 0) << text.talk;
    EXPECT_THAT(text.out, ::testing::StartsWith("The watch is impaired:\n  * no connection to the broker"));
    EXPECT_THAT(text.out, HasSubstr("North · "));
    EXPECT_THAT(text.out, ::testing::Not(HasSubstr("South · ")));

    const auto document = nlohmann::json::parse(run({"status", "north", "--json", "--socket", socket()}).out);
    EXPECT_EQ(document["id"], "north");
    EXPECT_EQ(document["watch"]["status"], "failing");
    EXPECT_EQ(document["watch"]["impairments"][0]["name"], "broker_lost");
    const auto all = nlohmann::json::parse(run({"status", "--json", "--socket", socket()}).out);
    EXPECT_EQ(all["watch"]["impairments"][0]["name"], "broker_lost");
}

TEST_F(Program, StatusOfAVesselThatIsNotThere) {
    for (const std::string& nonsense : {std::string{"west"}, std::string{"../north"}, std::string{"north "},
                                        std::string{"\n"}, std::string(5000, 'n')}) {
        const Ran ran = run({"status", nonsense, "--socket", socket()});
        EXPECT_EQ(ran.code, 1) << nonsense;
        EXPECT_THAT(ran.out, IsEmpty());
        EXPECT_THAT(ran.talk, HasSubstr("No such vessel"));
    }
}

TEST_F(Program, StatusSaysInWordsThatNobodyAnswers) {
    const Ran ran = run({"status", "--socket", server.folder.file("nobody")});

    EXPECT_EQ(ran.code, 1);
    EXPECT_THAT(ran.talk, HasSubstr("gyled is not running"));
    EXPECT_THAT(ran.talk, HasSubstr("Nobody watches"));
    EXPECT_THAT(ran.out, IsEmpty());
}

// It ended with 0 and no word.
TEST_F(Program, OutputThatCouldNotBeWrittenIsAFailure) {
    for (const std::vector<std::string>& verb :
         std::vector<std::vector<std::string>>{{"status", "--socket", socket()},
                                               {"status", "--json", "--socket", socket()},
                                               {"batch", "list", "--socket", socket()},
                                               {"alarms", "--socket", socket()},
                                               {"alarms", "--rules"},
                                               {"calc", "alcohol", "--original", "12P", "--present", "1.010"},
                                               {"check", "--json", "/dev/null"},
                                               {"--version"}}) {
        const Ran ran = run_on_full_disk(verb);
        EXPECT_EQ(ran.code, 1) << verb.front();
        EXPECT_THAT(ran.talk, HasSubstr("could not be written")) << verb.front();
    }
}

TEST_F(Program, SendsAMeasurementAsItWasTyped) {
    const Ran ran = run({"measure", "north", "gravity", "12P", "--socket", socket()});

    EXPECT_EQ(ran.code, 0) << ran.talk;
    const auto command = server.in_loop([&] { return server.cellar.commands.back(); });
    const auto& measured = std::get<cellar::Measure>(command).measurement;
    // 12 degrees Plato: 1.04835 SG 20/20, ASBC table of extract (from memory)
    EXPECT_NEAR(measured.value, 1.04835, 1e-4);
}

TEST_F(Program, HearsWhyAMeasurementIsNoneAndWhatItMayMean) {
    const Ran ran = run({"measure", "north", "gravity", "1023", "--socket", socket()});

    EXPECT_EQ(ran.code, 1);
    EXPECT_THAT(ran.talk, HasSubstr("did you mean 1.023?"));
    EXPECT_TRUE(server.in_loop([&] { return server.cellar.commands.empty(); }));
}

TEST_F(Program, WithdrawsTheLatestMeasurement) {
    const Ran ran = run({"measure", "undo", "north", "--socket", socket()});

    EXPECT_EQ(ran.code, 0) << ran.talk;
    const auto command = server.in_loop([&] { return server.cellar.commands.back(); });
    EXPECT_EQ(std::get<cellar::UndoMeasurement>(command).vessel, "north");
}

TEST_F(Program, TellsOfAPurge) {
    const Ran ran = run({"batch", "purged", "north", "--cycles", "3", "--socket", socket()});

    EXPECT_EQ(ran.code, 0) << ran.talk;
    const auto command = server.in_loop([&] { return server.cellar.commands.back(); });
    const auto& told = std::get<cellar::Measure>(command).measurement;
    EXPECT_EQ(told.quantity, base::Quantity::purge_cycles);
    EXPECT_EQ(told.value, 3);
    for (const char* cycles : {"0", "-1", "51", "three", ""})
        EXPECT_EQ(run({"batch", "purged", "north", "--cycles", cycles, "--socket", socket()}).code, 2)
            << cycles;
}

TEST_F(Program, GoesThroughThePlanInEachWay) {
    const auto latest = [&] { return server.in_loop([&] { return server.cellar.commands.back(); }); };
    for (const auto& [key, move] :
         {std::pair{"next", batch::Move::next}, {"back", batch::Move::back}, {"skip", batch::Move::skip}}) {
        const std::string vessel = move == batch::Move::skip ? "south" : "north";
        const Ran ran =
            run({"batch", key, vessel, "--at", "20min ago", "--why", "it is late", "--socket", socket()});
        EXPECT_EQ(ran.code, 0) << ran.talk;
        const auto command = std::get<cellar::EnterStage>(latest());
        EXPECT_EQ(command.move, move) << key;
        EXPECT_EQ(command.at, web::harbour_mild::end - std::chrono::minutes{20});
        EXPECT_EQ(command.why, "it is late");
    }
    EXPECT_EQ(run({"batch", "undo", "north", "--socket", socket()}).code, 0);
    EXPECT_EQ(std::get<cellar::UndoStep>(latest()).vessel, "north");
    EXPECT_EQ(run({"batch", "end", "north", "--at", "17:42", "--why", "dry", "--socket", socket()}).code, 0);
    EXPECT_EQ(std::get<cellar::EndBatch>(latest()).at, *base::from_rfc3339("2026-03-13T17:42:00Z"));
    EXPECT_EQ(std::get<cellar::EndBatch>(latest()).why, "dry");
}

TEST_F(Program, AsksForAVesselAndAMomentThatIsOne) {
    for (const char* key : {"next", "skip", "back", "undo", "end"}) {
        EXPECT_EQ(run({"batch", key, "--socket", socket()}).code, 2) << key;
        EXPECT_EQ(run({"batch", key, "nowhere", "--socket", socket()}).code, 1) << key;
    }
    const Ran ran = run({"batch", "next", "north", "--at", "soon", "--socket", socket()});
    EXPECT_EQ(ran.code, 1);
    EXPECT_THAT(ran.talk, HasSubstr("20min ago"));
    EXPECT_TRUE(server.in_loop([&] { return server.cellar.commands.empty(); }));
}

TEST_F(Program, CorrectsOnlyWhatIsGiven) {
    const Ran ran =
        run({"batch", "correct", "north", "--original-gravity", "12P", "--volume", "5.5gal", "--culture",
             "lager", "--stage-time", "1", "2026-03-01T18:00:00Z", "--socket", socket()});

    EXPECT_EQ(ran.code, 0) << ran.talk;
    const auto command = server.in_loop([&] { return server.cellar.commands.back(); });
    const auto& correction = std::get<cellar::CorrectBatch>(command);
    EXPECT_NEAR(correction.original_gravity.value(), 1.04835, 1e-4);
    EXPECT_NEAR(correction.volume_l.value(), 20.820, 1e-3);  // 231 cubic inches a gallon: NIST SP 811
    EXPECT_EQ(correction.culture, base::Culture::lager);
    ASSERT_EQ(correction.stage_times.size(), 1u);
    EXPECT_EQ(correction.stage_times.front().entry, 0u);
    EXPECT_FALSE(correction.name || correction.started || correction.expected_final_gravity);
}

batch::Findings regulator_at_170(batch::Severity severity) {
    return {{severity, 4, "head_pressure_kpa", "Stage 5 (serve): the regulator is set to 1.70 bar", 166.0}};
}

TEST_F(Program, GoesOnInSpiteOfADoubtOnlyWhenThatIsConfirmed) {
    server.in_loop([&] { server.cellar.findings = regulator_at_170(batch::Severity::doubtful); });
    const std::string file = server.folder.file("porter.toml");
    std::ofstream{file}
        << "name = \"Porter\"\nvessel = \"south\"\nvolume_l = 21\n[[stage]]\nkind = \"ferment\"\n";

    for (const std::vector<std::string>& verb :
         std::vector<std::vector<std::string>>{{"batch", "start", file},
                                               {"batch", "next", "north"},
                                               {"batch", "correct", "north", "--volume", "25L"}}) {
        std::vector<std::string> words = verb;
        words.insert(words.end(), {"--socket", socket()});
        const Ran asked = run(words);
        EXPECT_EQ(asked.code, 1) << verb[1];
        EXPECT_THAT(asked.talk, HasSubstr("doubtful: Stage 5 (serve): the regulator is set to 1.70 bar"));
        EXPECT_THAT(asked.talk, HasSubstr("--confirm"));
        EXPECT_TRUE(server.in_loop([&] { return server.cellar.commands.empty(); }));

        words.push_back("--confirm");
        EXPECT_EQ(run(words).code, 0) << verb[1];
        EXPECT_EQ(server.in_loop([&] { return std::exchange(server.cellar.commands, {}).size(); }), 1U);
    }
}

TEST_F(Program, OffersNoConfirmationOfDanger) {
    server.in_loop([&] { server.cellar.findings = regulator_at_170(batch::Severity::dangerous); });
    const Ran ran = run({"batch", "next", "north", "--confirm", "--socket", socket()});
    EXPECT_EQ(ran.code, 1);
    EXPECT_THAT(ran.talk, HasSubstr("dangerous: Stage 5 (serve)"));
    EXPECT_THAT(ran.talk, ::testing::Not(HasSubstr("--confirm")));
    EXPECT_EQ(run({"batch", "correct", "north", "--confirm", "--socket", socket()}).code, 2)
        << "corrects nothing";
}

TEST_F(Program, StatusTellsWhatStandsAboutThePlan) {
    server.in_loop([&] {
        server.cellar.vessel("north").batch->findings = regulator_at_170(batch::Severity::dangerous);
    });
    EXPECT_THAT(run({"status", "north", "--socket", socket()}).out, HasSubstr("dangerous: Stage 5 (serve)"));
}

TEST_F(Program, WrongUsageEndsWithTwo) {
    EXPECT_EQ(run({}).code, 2);
    EXPECT_EQ(run({"measure", "north"}).code, 2);
    EXPECT_EQ(run({"batch", "correct", "north", "--socket", socket()}).code, 2);
    EXPECT_EQ(run({"batch", "correct", "north", "--volume", "much", "--socket", socket()}).code, 1);
}

}  // namespace
}  // namespace gyled::cli
