/// gyle package: may this beer go into bottles or cans now?

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <array>
#include <memory>
#include <ostream>

#include "daemon/brewing/packaging.hpp"
#include "daemon/cli/connection.hpp"
#include "daemon/cli/document_text.hpp"

namespace gyled::cli {
namespace {

template <class Table>
std::vector<std::string> names(const Table& table) {
    std::vector<std::string> out;
    for (const auto& [name, value] : table) out.emplace_back(name);
    return out;
}

void line(std::string& out, std::string_view label, const Json& answer, const char* key) {
    const Json& figure = answer.at(key);
    out += figure.is_null() ? fmt::format("  {:<34} not known\n", label)
                            : fmt::format("  {:<34} {:>10}   {}\n", label, text_of(figure, "text"),
                                          text_of(figure, "interval"));
}

std::string packaging_text(const Json& answer) {
    std::string out;
    const bool nothing_found = answer.at("nothing_found");
    out +=
        nothing_found ? "Nothing was found that speaks against packaging it.\n" : "Do not package it now:\n";
    for (const Json& why : answer.at("against")) out += fmt::format("! {}\n", why.get<std::string>());
    out += '\n';
    line(out, "CO2 in the beer now", answer, "co2_now");
    line(out, "what the extract left would add", answer, "from_extract");
    if (answer.at("sugar_g_per_litre") > 0)
        out += fmt::format("  {:<34} {:>6.2f} g/L\n", "sugar", answer.at("sugar_g_per_litre").get<double>());
    line(out, "in all", answer, "in_all");
    out += fmt::format("  {:<34} {:>10}\n", "most for " + text_of(answer, "package"),
                       text_of(answer.at("package_limit"), "text"));
    line(out, "pressure at " + text_of(answer.at("serving_temperature"), "text"), answer, "serving_pressure");
    line(out, "pressure at " + text_of(answer.at("storage_temperature"), "text"), answer, "storage_pressure");
    out += '\n';
    for (const Json& caution : answer.at("cautions")) out += fmt::format("{}\n", caution.get<std::string>());
    return out;
}

struct Package {
    Connection daemon;
    std::string vessel, into = "unknown", target, sugar = "sucrose", storage, serving;

    [[nodiscard]] int run(Terminal to) const {
        std::string target_path = vessel_target(vessel, "/packaging?into=" + into + "&sugar=" + sugar);
        const std::array<std::pair<const char*, const std::string&>, 3> typed{
            {{"target", target}, {"storage", storage}, {"serving", serving}}};
        for (const auto& [name, value] : typed)
            if (!value.empty()) target_path += fmt::format("&{}={}", name, percent_encoded(value));
        const auto answer = daemon.get(target_path, to.talk);
        if (!answer) return failed;
        fmt::print(to.out, "{}", daemon.json ? answer->dump(2) + "\n" : packaging_text(*answer));
        return answer->at("nothing_found") ? done : failed;
    }
};

}  // namespace

void add_package(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand(
        "package", "what bottles or cans of this beer would hold, and what speaks against filling them now");
    auto options = std::make_shared<Package>();
    options->daemon.add_options(*verb);
    verb->add_option("vessel", options->vessel, "the vessel with the batch")->required();
    verb->add_option("--into", options->into)
        ->check(CLI::IsMember(names(brewing::package_kinds)))
        ->capture_default_str();
    verb->add_option("--target", options->target, "primed up to so many volumes; no sugar when left out");
    verb->add_option("--sugar", options->sugar)
        ->check(CLI::IsMember(names(brewing::sugars)))
        ->capture_default_str();
    verb->add_option("--storage", options->storage, "the warmest it will be kept; 30C when left out");
    verb->add_option("--serving", options->serving, "served so warm; 8C when left out");
    verb->footer("Exit code 1 while anything speaks against it. Code 0 is no word that it is safe.");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
