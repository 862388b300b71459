#pragma once
/// One table of a TOML file, read key by key. A key that nobody asked for is a mistake; so is a value of the
/// wrong kind.

#include <toml++/toml.h>

#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "daemon/base/stage.hpp"
#include "daemon/config/config.hpp"
#include "daemon/config/report.hpp"
#include "daemon/config/words.hpp"

namespace gyled::config {

/// Both ends are allowed.
struct Limits {
    double low = -std::numeric_limits<double>::max();
    double high = std::numeric_limits<double>::max();
};
struct DurationLimits {
    Duration low, high;
};
template <class T>
using Choices = std::vector<std::pair<std::string_view, T>>;

/// Each reading function leaves its target as it is when the key is absent, and reports when the value will
/// not do. The table and the report must outlive the section. Thread: one.
class Section {
public:
    /// `title` names the table in messages: "[broker]", "[[vessel]]".
    Section(const toml::table& table, Report& report, std::string title);

    [[nodiscard]] bool has(std::string_view key) const { return table_->contains(key); }
    /// Of the key's value; of the table's head when the key is absent.
    [[nodiscard]] Place place(std::string_view key = {}) const;
    void mistake(std::string_view key, std::string what) { report_->add(place(key), std::move(what)); }
    void warning(std::string_view key, std::string what) { report_->warn(place(key), std::move(what)); }
    /// Reports what some other part of the house said of this table, at the key that the words mention.
    void objection(const std::string& what, std::string_view fallback_key);
    /// Reports each of these keys that is absent. True when all are there.
    bool require(std::initializer_list<std::string_view> keys);
    /// Reports each of these keys that is present, with the reason.
    void refuse(std::initializer_list<std::string_view> keys, const std::string& why);
    /// Reports keys that nobody asked for. Call it last.
    void finish();

    void text(std::string_view key, std::string& target);
    /// 1 to 64 of a-z A-Z 0-9 _ -: it becomes part of topics, addresses and file names.
    void identifier(std::string_view key, std::string& target);
    void path(std::string_view key, std::string& target);  ///< relative to the file's folder
    void existing_path(std::string_view key,
                       std::string& target);  ///< the same; a check asks whether it can be read
    void texts(std::string_view key, std::vector<std::string>& target);
    void flag(std::string_view key, bool& target);
    void flag(std::string_view key, std::optional<bool>& target);
    void number(std::string_view key, double& target, Limits limits = {});
    void number(std::string_view key, std::optional<double>& target, Limits limits = {});
    void whole(std::string_view key, int& target, int low, int high);
    void duration(std::string_view key, Duration& target, DurationLimits limits);
    void duration(std::string_view key, std::optional<Duration>& target, DurationLimits limits);
    void moment(std::string_view key, std::optional<base::Timestamp>& target);
    void band(std::string_view key, std::optional<base::Band>& target, Limits limits);
    void numbers(std::string_view key, std::vector<double>& target);
    void points(std::string_view key, std::vector<std::pair<double, double>>& target);
    void secret(std::string_view key, Secret& target);

    /// `target` is a T or an optional T.
    template <class Target, class T>
    void choice(std::string_view key, Target& target, const Choices<T>& choices) {
        Words words;
        for (const auto& [word, value] : choices) words.push_back(word);
        if (const auto index = pick(key, words)) target = choices[*index].second;
    }

    [[nodiscard]] std::optional<Section> table(std::string_view key);
    [[nodiscard]] std::vector<Section> tables(std::string_view key);  ///< [[key]]
    /// For values that may be of several kinds.
    [[nodiscard]] const toml::node* find(std::string_view key);
    /// Each key of the table with its text, for free-form tables.
    [[nodiscard]] std::vector<std::pair<std::string, std::string>> all_texts();
    [[nodiscard]] Report& report() const { return *report_; }

private:
    /// Finds the key's node; reports and gives nothing when it is not of the wanted kind.
    template <class T>
    const T* value(std::string_view key, const char* wanted);
    [[nodiscard]] std::optional<double> finite(const toml::node& node, std::string_view key, Limits limits);
    [[nodiscard]] std::optional<std::size_t> pick(std::string_view key, const Words& words);
    void wrong_kind(std::string_view key, const toml::node& node, const char* wanted);

    const toml::table* table_;
    Report* report_;
    std::string title_;
    Words known_;  ///< keys that somebody asked for; they are literals
};

[[nodiscard]] Place place_of(const toml::node& node);
/// "a text", "a number", "true or false", "a list", ...
[[nodiscard]] const char* kind_of(const toml::node& node);
/// The parsed text, or nothing after reporting why not.
[[nodiscard]] std::optional<toml::table> parse_toml(std::string_view text, Report& report);

}  // namespace gyled::config
