/// gyle export: what is stored, as CSV or JSON lines, page by page: a year needs no more memory than a day.

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <fstream>
#include <memory>
#include <ostream>

#include "daemon/cli/connection.hpp"

namespace gyled::cli {
namespace {

/// What is asked for: a vessel, and its time.
struct Extent {
    std::string vessel, from = "0", to;  ///< as the API takes them; an empty end is now
};

/// RFC 4180: in quotes where it holds what separates.
std::string field(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? std::string{"\"\""} : std::string{c};
    return out + '"';
}

/// A number as the daemon wrote it, a moment as text; empty where there is none.
std::string value_text(const Json& value, const char* key) {
    if (!value.contains(key) || value.at(key).is_null()) return {};
    return value.at(key).is_string() ? value.at(key).get<std::string>() : value.at(key).dump();
}

std::string unit_of(const Json& value) {
    const auto quantity = base::quantity_named(value.value("quantity", ""));
    return quantity && !base::is_moment(*quantity) ? std::string{base::unit(*quantity)} : std::string{};
}

constexpr const char* csv_head = "time,vessel,quantity,sensor,value,low,high,unit\r\n";

std::string csv_line(const std::string& vessel, const Json& value) {
    return fmt::format("{},{},{},{},{},{},{},{}\r\n", value.value("at", ""), field(vessel),
                       value.value("quantity", ""), field(value.value("sensor", "")),
                       value_text(value, "value"), value_text(value, "low"), value_text(value, "high"),
                       unit_of(value));
}

std::string json_line(const std::string& vessel, const Json& value) {
    Json out{{"time", value.at("at")}, {"vessel", vessel}};
    out.update(value);
    out.erase("at");
    if (const std::string unit = unit_of(value); !unit.empty()) out["unit"] = unit;
    return out.dump() + "\n";
}

struct Export {
    Connection daemon;
    std::string what, from, to, output, format = "csv", only = "all";

    [[nodiscard]] int run(Terminal to_whom) const {
        const auto extent = find(to_whom.talk);
        if (!extent) return failed;
        if (output.empty() || output == "-") return write(*extent, to_whom.out, to_whom.talk);
        std::ofstream file{output, std::ios::binary | std::ios::trunc};
        const int code = write(*extent, file, to_whom.talk);
        file.close();
        if (!file) fmt::print(to_whom.talk, "gyle: cannot write {}\n", output);
        return file ? code : failed;
    }

private:
    /// A vessel's id; else a batch by its id or name, the newest of it.
    [[nodiscard]] std::optional<Extent> find(std::ostream& talk) const {
        const auto vessels = daemon.get("/api/vessels", talk);
        if (!vessels) return std::nullopt;
        for (const Json& vessel : vessels->at("vessels"))
            if (vessel.at("id") == what) return within(Extent{what, "0", ""});
        const auto batches = daemon.get("/api/batches?limit=1000", talk);
        if (!batches) return std::nullopt;
        for (const Json& batch : batches->at("batches"))
            if (batch.at("id") == what || batch.at("name") == what)
                return within({batch.at("vessel"), batch.at("started"), value_text(batch, "ended")});
        fmt::print(talk, "gyle: no vessel and no batch is called '{}'; `gyle batch list` names the batches\n",
                   what);
        return std::nullopt;
    }

    [[nodiscard]] Extent within(Extent extent) const {
        if (!from.empty()) extent.from = from;
        if (!to.empty()) extent.to = to;
        return extent;
    }

    [[nodiscard]] int write(Extent extent, std::ostream& out, std::ostream& talk) const {
        if (format == "csv") out << csv_head;
        while (true) {
            std::string target = vessel_target(extent.vessel, "/values?from=" + percent_encoded(extent.from));
            if (!extent.to.empty()) target += "&to=" + percent_encoded(extent.to);
            const auto page = daemon.get(target, talk);
            if (!page) return failed;
            for (const Json& value : page->at("values"))
                if (is_wanted(value)) out << (format == "csv" ? csv_line : json_line)(extent.vessel, value);
            if (!out || page->at("next").is_null()) return done;
            extent.from = page->at("next");
        }
    }

    [[nodiscard]] bool is_wanted(const Json& value) const {
        return only == "all" || (only == "readings") == value.contains("sensor");
    }
};

}  // namespace

void add_export(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("export", "readings and estimates as CSV or JSON lines");
    auto options = std::make_shared<Export>();
    options->daemon.add_place(*verb);
    verb->add_option("what", options->what, "a vessel, or a batch by its id or name")->required();
    verb->add_option("--from", options->from, "RFC 3339; all that is stored when left out");
    verb->add_option("--to", options->to, "RFC 3339; now when left out");
    verb->add_option("--format", options->format)
        ->check(CLI::IsMember({"csv", "jsonl"}))
        ->capture_default_str();
    verb->add_option("--only", options->only)
        ->check(CLI::IsMember({"all", "readings", "estimates"}))
        ->capture_default_str();
    verb->add_option("-o,--output", options->output, "the file; standard output when left out");
    verb->footer(
        "Times are RFC 3339 in UTC, values in the units of the column. `gyle import` reads it again.\n"
        "Raw readings older than [storage] keeps them are not in it.");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
