#include "daemon/cli/new_batch.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <fmt/ostream.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <functional>
#include <iostream>
#include <map>
#include <memory>
#include <optional>

#include "daemon/brewing/brew_day.hpp"
#include "daemon/cli/batch_text.hpp"
#include "daemon/cli/connection.hpp"
#include "daemon/cli/ready_plans.hpp"
#include "daemon/display/typed_value.hpp"

namespace gyled::cli {
namespace {

using base::Quantity;
using base::Result;
using base::StageKind;
using base::Unexpected;
using display::Amount;
using display::Display;

constexpr const char* usual_config = "/etc/gyled/gyled.toml";

enum class Kind : std::uint8_t { text, litres, kilograms, gravity, celsius, volumes };

/// What is asked for: `key` in the file, empty where it goes into a sum.
struct Question {
    const char* option;
    const char* key;
    Kind kind;
    const char* words;
    bool of_the_mash = false;  ///< only where the plan has one
};
constexpr std::array questions{
    Question{"name", "name", Kind::text, "Name of the batch"},
    Question{"vessel", "vessel", Kind::text, "Vessel, by its id in gyled.toml"},
    Question{"volume", "volume_l", Kind::litres, "Volume in it (21L, 5.5gal)"},
    Question{"original-gravity", "original_gravity", Kind::gravity, "Original gravity (1.048, 12P)"},
    Question{"final-gravity", "expected_final_gravity", Kind::gravity,
             "Final gravity that the recipe expects"},
    Question{"culture-name", "culture_name", Kind::text, "Your own name of the culture"},
    Question{"target-co2", "target_co2_volumes", Kind::volumes, "CO2 wanted (2.4vol, 4.7g/L)"},
    Question{"grain", "", Kind::kilograms, "Grain (4.5kg, 10lb)", true},
    Question{"liquor", "", Kind::litres, "Strike liquor (15L, 4gal)", true},
    Question{"grain-temperature", "", Kind::celsius, "How warm the grain is", true},
    Question{"mash", "", Kind::celsius, "Temperature of the mash", true},
};

struct Understood {
    std::string toml;      ///< as the file has it
    double canonical = 0;  ///< of a number
};

/// At most so many digits after the point, as few as say it.
std::string plain(double value, int digits) {
    std::string out = fmt::format("{:.{}f}", value, digits);
    while (out.ends_with('0') && out[out.size() - 2] != '.') out.pop_back();
    return out;
}

Result<Understood, std::string> number(const Result<display::TypedValue, std::string>& typed, int digits) {
    if (!typed) return Unexpected{typed.error()};
    return Understood{plain(typed->canonical, digits), typed->canonical};
}

Result<Understood, std::string> understand(Kind kind, const std::string& typed, const Display& display) {
    switch (kind) {
        case Kind::litres:
            return number(display::typed_amount(typed, Amount::volume, display), 1);
        case Kind::kilograms:
            return number(display::typed_amount(typed, Amount::mass, display), 2);
        case Kind::gravity:
            return number(display::typed_value(typed, Quantity::gravity, display), 4);
        case Kind::celsius:
            return number(display::typed_value(typed, Quantity::beer_temperature, display), 1);
        case Kind::volumes:
            return number(display::typed_value(typed, Quantity::co2_volumes, display), 2);
        case Kind::text:
            break;
    }
    if (typed.empty()) return Unexpected{std::string{"It needs at least one character."}};
    return Understood{toml_string(typed), 0};
}

struct StrikeParameters {
    double usual_moisture_percent = 4;            ///< of malt that is stored dry (common practice)
    double usual_grain_c = 18;                    ///< a cellar's
    double strike_band_c = 1;                     ///< either side: what a stirred kettle is read to
    double mash_below_c = 1, mash_above_c = 1.5;  ///< warm costs more than cool does (common practice)
};
constexpr StrikeParameters strike;

using Answers = std::map<std::string, Understood>;

/// Of the mash, once grain and liquor are known: strike liquor and band. False: what is given makes no mash.
bool set_mash(BatchText& text, const Answers& answers, double usual_mash_c) {
    const auto value = [&](const char* key, double otherwise) {
        const auto found = answers.find(key);
        return found == answers.end() ? otherwise : found->second.canonical;
    };
    const double mash_c = value("mash", usual_mash_c), grain_kg = value("grain", 0),
                 litres = value("liquor", 0);
    const auto band = [](double low, double high) {
        return fmt::format("[{}, {}]", plain(low, 1), plain(high, 1));
    };
    if (answers.contains("mash"))
        text.set(StageKind::mash, "temperature_c",
                 band(mash_c - strike.mash_below_c, mash_c + strike.mash_above_c));
    if (!answers.contains("grain") && !answers.contains("liquor")) return true;
    if (!(grain_kg > 0) || !(litres > 0)) return false;
    const auto malt = brewing::malt_heat(strike.usual_moisture_percent);
    const double kilograms = litres * brewing::water_density_at_20_c / 1000;
    const double strike_c =
        brewing::strike_temperature_c(mash_c, {.grain_c = value("grain-temperature", strike.usual_grain_c),
                                               .water_kg_per_kg = kilograms / grain_kg,
                                               .specific_heat = malt.specific_heat,
                                               .slaking_kj_per_kg = brewing::slaking_kj_per_kg(malt)});
    if (!(strike_c < 100)) return false;
    text.set(StageKind::strike, "temperature_c",
             band(strike_c - strike.strike_band_c, strike_c + strike.strike_band_c));
    text.set(StageKind::strike, "end.temperature_c", plain(strike_c, 1));
    return true;
}

const ReadyPlan* plan_named(std::string_view name) {
    const auto all = ready_plans();
    const auto found =
        std::find_if(all.begin(), all.end(), [&](const ReadyPlan& one) { return one.name == name; });
    return found == all.end() ? nullptr : &*found;
}

std::string plan_names() {
    std::string out;
    for (const ReadyPlan& plan : ready_plans()) out += (out.empty() ? "" : ", ") + std::string{plan.name};
    return out;
}

/// Asks one thing after the other; an empty line takes what is offered.
class Interview {
public:
    Interview(std::istream& in, std::ostream& talk) : in_{in}, talk_{talk} {}

    /// Until `take` has no objection; false when the input has ended.
    bool ask(const std::string& words, const std::string& offered,
             const std::function<std::optional<std::string>(const std::string&)>& take) {
        std::string line;
        while (true) {
            fmt::print(talk_, "{}{}: ", words, offered.empty() ? "" : " [" + offered + "]");
            talk_.flush();
            if (!std::getline(in_, line)) return false;
            if (line.empty() && offered.empty()) return true;
            const auto objection = take(line.empty() ? offered : line);
            if (!objection) return true;
            fmt::print(talk_, "  {}\n", *objection);
        }
    }

private:
    std::istream& in_;
    std::ostream& talk_;
};

struct New {
    std::string like, output, config_path;
    bool asks = false;
    std::map<std::string, std::string> typed;

    [[nodiscard]] int run(Terminal to) {
        if (!read_config(to.talk)) return wrong_usage;
        Answers answers;
        if (asks || (like.empty() && isatty(STDIN_FILENO) != 0)) {
            if (!interview(answers, to.talk)) {
                fmt::print(to.talk, "\ngyle: the answers ended too early; nothing is written\n");
                return failed;
            }
        } else if (!take_options(answers, to.talk)) {
            return wrong_usage;
        }
        return write(made_of(answers), answers, to);
    }

private:
    bool read_config(std::ostream& talk) {
        const bool is_named = !config_path.empty();
        if (!is_named && ::access(usual_config, R_OK) != 0) return true;
        auto read = config::load_config(is_named ? config_path : usual_config);
        if (!read && is_named) say(talk, read.error());
        if (read) config_ = std::move(*read);
        return read || !is_named;
    }
    [[nodiscard]] Display display() const { return config_ ? config_->site.display : Display::metric(); }

    [[nodiscard]] std::optional<std::string> choose_plan(const std::string& name) {
        plan_ = plan_named(name);
        if (plan_ == nullptr)
            return fmt::format("There is no plan '{}'; there are {}.", name.substr(0, 40), plan_names());
        parsed_ = *config::parse_batch(plan_->text, "plan");
        return std::nullopt;
    }
    [[nodiscard]] bool concerns(const Question& question) const {
        return !question.of_the_mash || BatchText{plan_->text}.has(StageKind::strike);
    }

    bool take_options(Answers& answers, std::ostream& talk) {
        const auto refuse = [&](const std::string& what) {
            fmt::print(talk, "gyle: {}\n", what);
            return false;
        };
        if (like.empty()) return refuse("say --like, one of " + plan_names() + ", or --ask to be asked");
        if (auto objection = choose_plan(like)) return refuse(*objection);
        for (const Question& question : questions) {
            const std::string& text = typed[question.option];
            if (text.empty()) continue;
            if (!concerns(question))
                return refuse(fmt::format("--{}: the plan '{}' has no strike", question.option, like));
            const auto value = understand(question.kind, text, display());
            if (!value) return refuse(fmt::format("--{}: {}", question.option, value.error()));
            answers[question.option] = *value;
        }
        return true;
    }

    bool interview(Answers& answers, std::ostream& talk) {
        Interview person{std::cin, talk};
        if (!person.ask("Plan, one of " + plan_names(), like.empty() ? "ale" : like,
                        [&](const std::string& name) { return choose_plan(name); }))
            return false;
        return std::all_of(questions.begin(), questions.end(), [&](const Question& question) {
            const auto take = [&](const std::string& line) -> std::optional<std::string> {
                const auto value = understand(question.kind, line, display());
                if (!value) return value.error();
                answers[question.option] = *value;
                return std::nullopt;
            };
            const bool is_of_grain = question.of_the_mash && question.option != std::string_view{"grain"};
            return !concerns(question) || (is_of_grain && !answers.contains("grain")) ||
                   person.ask(question.words, offered(question), take);
        });
    }

    /// What was typed as an option, or the plan's own; the person's vessel.
    [[nodiscard]] std::string offered(const Question& question) {
        if (const std::string& given = typed[question.option]; !given.empty()) return given;
        const std::string_view option = question.option;
        if (option == "name") return parsed_.name;
        if (option == "vessel")
            return config_ && !config_->vessels.empty() ? config_->vessels.front().id : parsed_.vessel;
        if (option == "culture-name") return parsed_.culture_name;
        if (option == "mash") return display().text(Quantity::beer_temperature, usual_mash_c());
        if (option == "grain-temperature")
            return display().text(Quantity::beer_temperature, strike.usual_grain_c);
        if (option == "volume") return fmt::format("{}L", plain(parsed_.volume_l, 1));
        const std::optional<double> value = option == "original-gravity" ? parsed_.original_gravity
                                            : option == "final-gravity"  ? parsed_.expected_final_gravity
                                            : option == "target-co2"     ? parsed_.target_co2_volumes
                                                                         : std::nullopt;
        const Quantity q = option == "target-co2" ? Quantity::co2_volumes : Quantity::gravity;
        return value ? display().text(q, *value) : std::string{};
    }

    [[nodiscard]] double usual_mash_c() const {
        for (const batch::StagePlan& stage : parsed_.stages)
            if (stage.kind == StageKind::mash && stage.temperature_c)
                return (stage.temperature_c->low + stage.temperature_c->high) / 2;
        return 66.5;
    }

    [[nodiscard]] std::optional<std::string> made_of(const Answers& answers) const {
        BatchText text{plan_->text};
        for (const Question& question : questions)
            if (const auto found = answers.find(question.option);
                found != answers.end() && *question.key != '\0')
                text.set(question.key, found->second.toml);
        if (!set_mash(text, answers, usual_mash_c())) return std::nullopt;
        return text.text();
    }

    [[nodiscard]] int write(const std::optional<std::string>& text, const Answers& answers,
                            Terminal to) const {
        if (!text) {
            fmt::print(to.talk,
                       "gyle: so much grain and liquor make no mash: give both, more liquor than 1 L/kg\n");
            return wrong_usage;
        }
        const std::string file = file_name(answers);
        const auto plan = config::parse_batch(*text, file);
        if (!plan) {
            say(to.talk, plan.error());
            return wrong_usage;
        }
        if (file == "-") {
            fmt::print(to.out, "{}", *text);
            return done;
        }
        if (const auto trouble = written(file, *text)) {
            fmt::print(to.talk, "gyle: {}\n", *trouble);
            return failed;
        }
        fmt::print(to.talk, "{} is written: read it through, then\n  gyle batch start {}\n", file, file);
        if (config_) say(to.talk, config::check_batch_text(*text, file, *config_));
        return done;
    }

    /// Where it goes: harbour-mild.toml for "Harbour Mild".
    [[nodiscard]] std::string file_name(const Answers& answers) const {
        if (!output.empty()) return output;
        const auto named = answers.find("name");
        std::string out;
        for (const char c : named == answers.end() ? parsed_.name : named->second.toml) {
            const bool is_capital = c >= 'A' && c <= 'Z';
            const bool is_plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
            if (is_plain || is_capital)
                out += is_capital ? static_cast<char>(c - 'A' + 'a') : c;
            else if (!out.empty() && out.back() != '-')
                out += '-';
        }
        while (out.ends_with('-')) out.pop_back();
        return (out.empty() ? "batch" : out) + ".toml";
    }

    /// Never over a file that is there. What went wrong, in words.
    [[nodiscard]] static std::optional<std::string> written(const std::string& file,
                                                            const std::string& text) {
        const int descriptor = ::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (descriptor < 0)
            return errno == EEXIST ? file + " is there already: say -o for another name"
                                   : fmt::format("{} cannot be written: {}", file, std::strerror(errno));
        const bool is_whole =
            ::write(descriptor, text.data(), text.size()) == static_cast<ssize_t>(text.size());
        if (::close(descriptor) == 0 && is_whole) return std::nullopt;
        ::unlink(file.c_str());
        return file + " could not be written whole; is the disk full?";
    }

    std::optional<config::Config> config_;
    const ReadyPlan* plan_ = nullptr;
    batch::Plan parsed_;
};

}  // namespace

void add_new_batch(CLI::App& batch, Action& chosen) {
    auto* verb = batch.add_subcommand("new", "write a commented batch file, by asking or from options");
    auto options = std::make_shared<New>();
    verb->add_option("--like", options->like, "the ready-made plan to begin with: " + plan_names());
    verb->add_flag("--ask", options->asks, "ask for everything; the default on a terminal without --like");
    for (const Question& question : questions)
        verb->add_option(fmt::format("--{}", question.option), options->typed[question.option],
                         question.words);
    verb->add_option("-o,--output", options->output,
                     "the file to write; - prints it; made of the name when left out");
    verb->add_option("-c,--config", options->config_path,
                     "your units and vessels; the file is held against them");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
