#include "daemon/cli/calc/ask.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "daemon/base/text.hpp"

namespace gyled::cli::calc {

using base::Result;
using base::spoken;
using base::Unexpected;
namespace {

constexpr std::size_t quoted_at_most = 40;

Result<Given, Complaint> put(Given given, const Argument& argument, std::string_view typed,
                             const display::Display& display) {
    if (argument.kind == Kind::word) {
        if (std::find(argument.words.begin(), argument.words.end(), typed) == argument.words.end())
            return Unexpected{Complaint{std::string{argument.name},
                                        fmt::format("'{}' is none of {}.", typed.substr(0, quoted_at_most),
                                                    fmt::join(argument.words, ", "))}};
        given.put_word(argument.name, typed);
        return given;
    }
    const auto value = read(argument.kind, typed, display);
    if (!value) return Unexpected{Complaint{std::string{argument.name}, value.error()}};
    given.put(argument.name, *value);
    return given;
}

/// What is taken for an argument: as typed, or its default; nothing when it may be missing.
std::optional<std::string_view> taken(const Argument& argument, const Typed& typed) {
    if (const auto found = typed.find(argument.name); found != typed.end()) return found->second;
    return argument.otherwise;
}

bool has_interval(const Figure& figure) {
    return figure.value.low < figure.value.value || figure.value.high > figure.value.value;
}

std::string given_text(const Argument& argument, const Given& given, const Site& site) {
    if (argument.kind == Kind::word) return fmt::format("{} {}", argument.name, given.word(argument.name));
    const auto value = given.find(argument.name);
    return value ? fmt::format("{} {}", argument.name, site.text(argument.kind, *value)) : std::string{};
}

std::string all_given(const Sum& sum, const Given& given, const Site& site) {
    std::vector<std::string> parts;
    for (const Argument& argument : sum.arguments)
        if (std::string part = given_text(argument, given, site); !part.empty())
            parts.push_back(std::move(part));
    return fmt::format("{}", fmt::join(parts, ", "));
}

std::vector<std::string> assumed(const Sum& sum, const Answer& answer, const Site& site) {
    std::vector<std::string> all = answer.assumed;
    if (!sum.knows_altitude) return all;
    all.push_back(site.elevation_m ? "at " + site.text(Kind::elevation, *site.elevation_m) + " above the sea"
                                   : "at sea level: --elevation says where you are");
    return all;
}

Json number(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}

Json figure_json(const Figure& figure, const Site& site) {
    Json out{{"value", number(figure.value.value)},
             {"low", number(figure.value.low)},
             {"high", number(figure.value.high)},
             {"unit", unit(figure.kind)}};
    if (figure.kind == Kind::head_pressure) out["reference"] = "gauge";
    out["text"] = site.text(figure.kind, figure.value.value);
    out["interval"] = interval_text(figure.kind, figure.value, site.display);
    return out;
}

Json given_json(const Sum& sum, const Given& given, const Site& site) {
    Json out = Json::object();
    for (const Argument& argument : sum.arguments) {
        const std::string name{argument.name};
        if (argument.kind == Kind::word)
            out[name] = given.word(argument.name);
        else if (const auto value = given.find(argument.name))
            out[name] = {
                {"value", *value}, {"unit", unit(argument.kind)}, {"text", site.text(argument.kind, *value)}};
    }
    return out;
}

}  // namespace

Result<Given, Complaint> understand(const Sum& sum, const Typed& typed, const display::Display& display) {
    Given given;
    for (const Argument& argument : sum.arguments) {
        const auto text = taken(argument, typed);
        if (!text)
            return Unexpected{
                Complaint{std::string{argument.name}, "is missing: " + std::string{argument.meaning} + "."}};
        if (text->empty() && !typed.contains(argument.name)) continue;
        auto more = put(given, argument, *text, display);
        if (!more) return more;
        given = std::move(more).value();
    }
    return given;
}

std::string text_of(const Sum& sum, const Given& given, const Answer& answer, const Site& site) {
    std::string out;
    if (!answer.refused.empty()) out += "No: " + answer.refused + ".\n";
    for (const Figure& figure : answer.figures) {
        out += fmt::format("{:<26}{:>12}", base::capitalised(spoken(figure.name)),
                           site.text(figure.kind, figure.value.value));
        if (has_interval(figure)) out += "   " + interval_text(figure.kind, figure.value, site.display);
        out += '\n';
    }
    out += "From: " + all_given(sum, given, site) + ".\n";
    for (const std::string& each : assumed(sum, answer, site)) out += "Assumed: " + each + ".\n";
    out += "Source: " + std::string{sum.source} + ".\n";
    for (const std::string& caution : answer.cautions) out += "! " + caution + "\n";
    return out;
}

Json json_of(const Sum& sum, const Given& given, const Answer& answer, const Site& site) {
    Json figures = Json::object();
    for (const Figure& figure : answer.figures) figures[std::string{figure.name}] = figure_json(figure, site);
    return {{"calc", sum.name},
            {"given", given_json(sum, given, site)},
            {"answer", std::move(figures)},
            {"assumed", assumed(sum, answer, site)},
            {"source", sum.source},
            {"cautions", answer.cautions},
            {"refused", answer.refused.empty() ? Json(nullptr) : Json(answer.refused)}};
}

}  // namespace gyled::cli::calc
