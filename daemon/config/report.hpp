#pragma once
/// Collects what is wrong with one file, with the place of each.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/config/config.hpp"

namespace gyled::config {

/// From 1, counted in characters; 0 when the file as a whole is meant.
struct Place {
    std::size_t line = 0, column = 0;
};

/// How far a reader follows the names of files that a text holds.
enum class Follow {
    nothing,     ///< the text alone: fuzzing, batch files
    open_modes,  ///< what the daemon refuses to start with: a secret that others may read
    everything,  ///< is all of it there, credentials too?
};

class Report {
public:
    /// Keeps a view of `text`.
    Report(std::string_view text, std::string file, Follow follow);

    /// Beyond two hundred, further mistakes are not kept: nobody reads them.
    void add(Place place, std::string what);
    /// For the person to weigh: the file is taken all the same.
    void warn(Place place, std::string what);
    [[nodiscard]] bool clean() const { return !has_error(mistakes_); }
    [[nodiscard]] std::size_t count() const { return mistakes_.size(); }
    /// In the order of the file.
    [[nodiscard]] Mistakes take();

    /// A path as the file means it: relative to the file's own folder.
    [[nodiscard]] std::string beside_file(const std::string& path) const;
    [[nodiscard]] bool looks_at_files() const { return follow_ != Follow::nothing; }
    [[nodiscard]] bool looks_at_everything() const { return follow_ == Follow::everything; }

private:
    void note(Place place, std::string what, bool is_warning);

    std::string_view text_;
    std::string file_;
    Follow follow_;
    Mistakes mistakes_;
};

/// The line and a caret under the column, as two lines; a long line is cut to what stands around the place.
/// Empty when there is no such line.
[[nodiscard]] std::string excerpt(std::string_view text, Place place);

}  // namespace gyled::config
