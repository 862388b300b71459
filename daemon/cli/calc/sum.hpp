#pragma once
/// One sum, described once: command line, help, text and JSON all follow from it. Pure; any thread.

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/base/pressure.hpp"
#include "daemon/base/result.hpp"
#include "daemon/cli/calc/values.hpp"

namespace gyled::cli::calc {

/// What a sum asks for: `--name VALUE`.
struct Argument {
    std::string_view name;
    Kind kind{};
    std::string_view meaning;
    /// Taken, as if typed, when it is left out; nothing: it must be given; empty: it may be missing.
    std::optional<std::string_view> otherwise = std::nullopt;
    std::vector<std::string_view> words = {};  ///< of `Kind::word`
};
inline constexpr std::string_view may_be_missing{};

/// The site as far as sums know it.
struct Site {
    display::Display display;
    std::optional<double> elevation_m;  ///< above the sea; nothing: not told, sea level is assumed

    [[nodiscard]] base::Pressure ambient() const;
    [[nodiscard]] std::string text(Kind kind, double canonical) const {
        return calc::text(kind, canonical, display);
    }
};

/// The arguments as they were understood, in canonical units.
class Given {
public:
    void put(std::string_view name, double value) { numbers_[std::string{name}] = value; }
    void put_word(std::string_view name, std::string_view word) { words_[std::string{name}] = word; }
    [[nodiscard]] bool has(std::string_view name) const { return find(name).has_value(); }
    [[nodiscard]] std::optional<double> find(std::string_view name) const;
    /// One that must have been given, or has a default.
    [[nodiscard]] double operator()(std::string_view name) const { return find(name).value(); }
    [[nodiscard]] std::string_view word(std::string_view name) const;

private:
    std::map<std::string, double, std::less<>> numbers_;
    std::map<std::string, std::string, std::less<>> words_;
};

/// One result: its name as in JSON, with its interval; a value whose ends are itself is shown without one.
struct Figure {
    std::string_view name;
    Kind kind{};
    base::Estimate value;
};
[[nodiscard]] Figure exactly(std::string_view name, Kind kind, double value);
/// With a doubt to either side.
[[nodiscard]] Figure within(std::string_view name, Kind kind, double value, double doubt);
/// With two ends in whichever order.
[[nodiscard]] Figure between(std::string_view name, Kind kind, double value, double one_end,
                             double other_end);

struct Answer {
    std::vector<Figure> figures;
    std::vector<std::string> assumed;
    std::vector<std::string> cautions;
    std::string refused;  ///< why nobody should do this; empty: nothing found against it
};

/// An argument that makes no sense beside the others, and why, as a sentence.
struct Complaint {
    std::string argument;
    std::string what;
};
using Worked = base::Result<Answer, Complaint>;

struct Sum {
    std::string_view name;
    std::string_view meaning;
    std::vector<Argument> arguments;
    std::string_view source;  ///< of the formula, in a line
    bool knows_altitude = false;
    Worked (*work)(const Given& given, const Site& site) = nullptr;
};

/// All of them, in the order of a brew.
[[nodiscard]] const std::vector<Sum>& all_sums();

// by group, a file each
[[nodiscard]] std::vector<Sum> brew_day_sums();
[[nodiscard]] std::vector<Sum> gravity_sums();
[[nodiscard]] std::vector<Sum> carbonation_sums();
[[nodiscard]] std::vector<Sum> closed_vessel_sums();
[[nodiscard]] std::vector<Sum> serving_sums();
[[nodiscard]] std::vector<Sum> surroundings_sums();

}  // namespace gyled::cli::calc
