#include "daemon/config/section.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <system_error>

namespace gyled::config {

Place place_of(const toml::node& node) {
    const toml::source_position at = node.source().begin;
    return {at.line, at.column};
}

const char* kind_of(const toml::node& node) {
    switch (node.type()) {
        case toml::node_type::table:
            return "a table";
        case toml::node_type::array:
            return "a list";
        case toml::node_type::string:
            return "a text";
        case toml::node_type::integer:
        case toml::node_type::floating_point:
            return "a number";
        case toml::node_type::boolean:
            return "true or false";
        case toml::node_type::date:
            return "a date";
        case toml::node_type::time:
            return "a time of day";
        case toml::node_type::date_time:
            return "a date and time";
        default:
            return "nothing";
    }
}

Section::Section(const toml::table& table, Report& report, std::string title)
    : table_{&table}, report_{&report}, title_{std::move(title)} {}

Place Section::place(std::string_view key) const {
    const toml::node* const node = key.empty() ? nullptr : table_->get(key);
    return place_of(node != nullptr ? *node : *table_);
}

const toml::node* Section::find(std::string_view key) {
    if (std::find(known_.begin(), known_.end(), key) == known_.end()) known_.push_back(key);
    return table_->get(key);
}

template <class T>
const T* Section::value(std::string_view key, const char* wanted) {
    const toml::node* const node = find(key);
    if (node == nullptr) return nullptr;
    const auto* const typed = node->as<T>();
    if (typed == nullptr) {
        wrong_kind(key, *node, wanted);
        return nullptr;
    }
    if constexpr (toml::is_container<T>)
        return typed;
    else
        return &typed->get();
}

void Section::wrong_kind(std::string_view key, const toml::node& node, const char* wanted) {
    report_->add(place_of(node), fmt::format("{}: expected {}, found {}", key, wanted, kind_of(node)));
}

void Section::objection(const std::string& what, std::string_view fallback_key) {
    std::string_view at = fallback_key;
    std::size_t earliest = what.size();
    for (const auto& [key, node] : *table_) {
        const auto* const text = node.as_string();
        const std::size_t said = std::min(what.find(key.str()), text != nullptr && !text->get().empty()
                                                                    ? what.find('\'' + text->get() + '\'')
                                                                    : what.npos);
        if (said >= earliest) continue;
        earliest = said;
        at = key.str();
    }
    mistake(at, what);
}

bool Section::require(std::initializer_list<std::string_view> keys) {
    bool complete = true;
    for (const std::string_view key : keys)
        if (find(key) == nullptr) {
            complete = false;
            report_->add(place_of(*table_), fmt::format("{} needs {}", title_, key));
        }
    return complete;
}

void Section::refuse(std::initializer_list<std::string_view> keys, const std::string& why) {
    for (const std::string_view key : keys)
        if (find(key) != nullptr) mistake(key, fmt::format("{} {}", key, why));
}

void Section::finish() {
    for (const auto& [key, node] : *table_) {
        if (std::find(known_.begin(), known_.end(), key.str()) != known_.end()) continue;
        const toml::source_position at = key.source().begin;
        Words unused;
        for (const std::string_view known : known_)
            if (!has(known)) unused.push_back(known);
        report_->add({at.line, at.column},
                     fmt::format("unknown key '{}'{}", key.str(), hint(key.str(), unused)));
    }
}

void Section::text(std::string_view key, std::string& target) {
    if (const auto* const found = value<std::string>(key, "a text in quotes")) target = *found;
}

void Section::identifier(std::string_view key, std::string& target) {
    const auto* const found = value<std::string>(key, "a text in quotes");
    if (found == nullptr) return;
    constexpr std::string_view allowed = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-";
    const std::string& text = *found;
    if (text.empty() || text.size() > 64 || text.find_first_not_of(allowed) != text.npos)
        mistake(
            key,
            fmt::format(
                "{}: 1 to 64 letters a-z, digits, _ or -, for it becomes part of topics and addresses", key));
    else
        target = text;
}

void Section::path(std::string_view key, std::string& target) {
    const auto* const found = value<std::string>(key, "a path in quotes");
    if (found == nullptr) return;
    if (found->find('\0') != std::string::npos)
        mistake(key, fmt::format("{}: a path cannot contain a zero byte", key));
    else
        target = report_->beside_file(*found);
}

void Section::existing_path(std::string_view key, std::string& target) {
    path(key, target);
    if (target.empty() || !report_->looks_at_everything()) return;
    errno = 0;
    if (!std::ifstream{target} || std::filesystem::is_directory(target))
        mistake(key, fmt::format("{}: {} cannot be read: {}", key, target,
                                 std::system_category().message(errno == 0 ? EISDIR : errno)));
}

void Section::texts(std::string_view key, std::vector<std::string>& target) {
    const auto* const list = value<toml::array>(key, "a list of texts, as [\"a\", \"b\"]");
    if (list == nullptr) return;
    target.clear();
    for (const toml::node& node : *list) {
        if (const auto* const text = node.as_string())
            target.push_back(text->get());
        else
            wrong_kind(key, node, "a text in quotes");
    }
}

void Section::flag(std::string_view key, bool& target) {
    if (const auto* const found = value<bool>(key, "true or false")) target = *found;
}

void Section::flag(std::string_view key, std::optional<bool>& target) {
    if (const auto* const found = value<bool>(key, "true or false")) target = *found;
}

std::optional<double> Section::finite(const toml::node& node, std::string_view key, Limits limits) {
    if (!node.is_number()) {
        wrong_kind(key, node, "a number");
        return std::nullopt;
    }
    const double number =
        node.is_integer() ? static_cast<double>(node.as_integer()->get()) : node.as_floating_point()->get();
    if (std::isfinite(number) && number >= limits.low && number <= limits.high) return number;
    report_->add(place_of(node),
                 limits.low > -1e300 && limits.high < 1e300
                     ? fmt::format("{}: {} is not between {} and {}", key, number, limits.low, limits.high)
                     : fmt::format("{}: {} is not allowed", key, number));
    return std::nullopt;
}

void Section::number(std::string_view key, double& target, Limits limits) {
    if (const toml::node* const node = find(key))
        if (const auto number = finite(*node, key, limits)) target = *number;
}

void Section::number(std::string_view key, std::optional<double>& target, Limits limits) {
    if (const toml::node* const node = find(key))
        if (const auto number = finite(*node, key, limits)) target = number;
}

void Section::whole(std::string_view key, int& target, int low, int high) {
    const auto* const found = value<std::int64_t>(key, "a whole number");
    if (found == nullptr) return;
    if (*found < low || *found > high)
        mistake(key, fmt::format("{}: {} is not between {} and {}", key, *found, low, high));
    else
        target = static_cast<int>(*found);
}

void Section::duration(std::string_view key, Duration& target, DurationLimits limits) {
    std::optional<Duration> read;
    duration(key, read, limits);
    if (read) target = *read;
}

void Section::duration(std::string_view key, std::optional<Duration>& target, DurationLimits limits) {
    const auto* const found = value<std::string>(key, "a duration in quotes, as \"45min\"");
    if (found == nullptr) return;
    const auto read = parse_duration(*found);
    if (!read)
        mistake(key, fmt::format("{}: {}", key, read.error()));
    else if (*read < limits.low || *read > limits.high)
        mistake(key, fmt::format("{}: {} is not between {} and {}", key, *found,
                                 display::duration_text(limits.low), display::duration_text(limits.high)));
    else
        target = *read;
}

void Section::moment(std::string_view key, std::optional<base::Timestamp>& target) {
    const toml::node* const node = find(key);
    if (node == nullptr) return;
    const auto* const found = node->as_date_time();
    const bool nearly =
        node->is_date() || node->is_time() || node->is_string() || (found != nullptr && !found->get().offset);
    if (nearly) {
        mistake(key,
                fmt::format(
                    "{}: a moment needs date, time and offset, without quotes, as 2026-03-01T18:00:00Z or "
                    "2026-03-01T18:00:00+01:00; without an offset it is another moment on another machine",
                    key));
        return;
    }
    if (found == nullptr) {
        wrong_kind(key, *node, "a date and time");
        return;
    }
    using namespace std::chrono;
    const toml::date_time& at = found->get();
    const sys_days day{year{at.date.year} / month{at.date.month} / std::chrono::day{at.date.day}};
    const base::Timestamp found_at =
        day + hours{at.time.hour} + minutes{at.time.minute} + seconds{at.time.second} +
        floor<milliseconds>(nanoseconds{at.time.nanosecond}) - minutes{at.offset->minutes};
    if (found_at < sys_days{year{1970} / 1 / 1} || found_at >= sys_days{year{2200} / 1 / 1})
        mistake(key, fmt::format("{}: {} is not between 1970 and 2200", key, base::to_rfc3339(found_at)));
    else
        target = found_at;
}

void Section::band(std::string_view key, std::optional<base::Band>& target, Limits limits) {
    const auto* const list = value<toml::array>(key, "a list [low, high]");
    if (list == nullptr) return;
    if (list->size() != 2) {
        mistake(key, fmt::format("{}: expected [low, high], found {} entries", key, list->size()));
        return;
    }
    const auto low = finite((*list)[0], key, limits), high = finite((*list)[1], key, limits);
    if (!low || !high) return;
    if (*low > *high)
        mistake(key, fmt::format("{}: [low, high], but {} is above {}", key, *low, *high));
    else
        target = {*low, *high};
}

void Section::numbers(std::string_view key, std::vector<double>& target) {
    const auto* const list = value<toml::array>(key, "a list of numbers");
    if (list == nullptr) return;
    for (const toml::node& node : *list)
        if (const auto number = finite(node, key, {})) target.push_back(*number);
}

void Section::points(std::string_view key, std::vector<std::pair<double, double>>& target) {
    const auto* const list = value<toml::array>(key, "a list of [read, true] pairs");
    if (list == nullptr) return;
    for (const toml::node& node : *list) {
        const auto* const pair = node.as_array();
        if (pair == nullptr || pair->size() != 2) {
            report_->add(place_of(node), fmt::format("{}: each point is a pair [read, true]", key));
            continue;
        }
        const auto read = finite((*pair)[0], key, {}), truth = finite((*pair)[1], key, {});
        if (read && truth) target.emplace_back(*read, *truth);
    }
}

std::optional<std::size_t> Section::pick(std::string_view key, const Words& words) {
    const auto* const found = value<std::string>(key, "a word in quotes");
    if (found == nullptr) return std::nullopt;
    const auto word = std::find(words.begin(), words.end(), *found);
    if (word != words.end()) return static_cast<std::size_t>(word - words.begin());
    mistake(key, fmt::format("{}: unknown word '{}'{}", key, *found, hint(*found, words)));
    return std::nullopt;
}

std::optional<Section> Section::table(std::string_view key) {
    const toml::table* const found = value<toml::table>(key, "a table");
    if (found == nullptr) return std::nullopt;
    return Section{*found, *report_, std::string{key}};
}

std::vector<Section> Section::tables(std::string_view key) {
    std::vector<Section> sections;
    const toml::node* const node = find(key);
    if (node == nullptr) return sections;
    const auto* const list = node->as_array();
    if (list == nullptr) {
        mistake(key, fmt::format("write [[{0}]] with two brackets: there may be several", key));
        return sections;
    }
    for (const toml::node& entry : *list) {
        if (const auto* const found = entry.as_table())
            sections.emplace_back(*found, *report_, fmt::format("[[{}]]", key));
        else
            wrong_kind(key, entry, "a table");
    }
    return sections;
}

std::vector<std::pair<std::string, std::string>> Section::all_texts() {
    std::vector<std::pair<std::string, std::string>> texts;
    for (const auto& [key, node] : *table_) {
        if (const auto* const text = node.as_string())
            texts.emplace_back(std::string{key.str()}, text->get());
        else
            wrong_kind(key.str(), node, "a text in quotes");
    }
    return texts;
}

namespace {

constexpr std::size_t text_size_max = 256 * 1024;
constexpr std::ptrdiff_t dots_in_line_max = 50;

/// Each dot in a key opens a table within a table, and the parser's library takes such a tower down by
/// recursion: one long line could exhaust the stack. Its own limit counts brackets only. From 1; 0 when there
/// is no such line.
std::size_t line_of_too_many_dots(std::string_view text) {
    for (std::size_t number = 1; !text.empty(); ++number) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const std::string_view line = text.substr(0, end);
        const bool comment = line.find_first_not_of(" \t") == line.find('#');
        if (!comment && std::count(line.begin(), line.end(), '.') > dots_in_line_max) return number;
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return 0;
}

}  // namespace

std::optional<toml::table> parse_toml(std::string_view text, Report& report) {
    if (text.size() > text_size_max) {
        report.add({}, fmt::format("{} bytes are more than a file of this kind may have ({})", text.size(),
                                   text_size_max));
        return std::nullopt;
    }
    if (const std::size_t line = line_of_too_many_dots(text)) {
        report.add({line, 1}, fmt::format("more than {} dots in one line", dots_in_line_max));
        return std::nullopt;
    }
    try {
        return toml::parse(text);
    } catch (const toml::parse_error& problem) {
        const toml::source_position at = problem.source().begin;
        report.add({at.line, at.column}, std::string{problem.description()});
        return std::nullopt;
    }
}

}  // namespace gyled::config
