#pragma once
/// A batch file's text with other values in it: its comments, order and all else stay as they were. Pure; one
/// thread.

#include <string>
#include <string_view>
#include <vector>

#include "daemon/base/stage.hpp"

namespace gyled::cli {

class BatchText {
public:
    /// A batch file as config/batches has them: a key a line.
    explicit BatchText(std::string_view text);

    /// Of the batch: `value` as TOML writes it. A key that stands in a comment is taken out of it; one that
    /// is missing comes last.
    void set(std::string_view key, const std::string& value);
    /// Of the first stage of that kind; "end.temperature_c" is the key within its `end = { ... }`. Nothing
    /// when there is no such stage or key.
    void set(base::StageKind stage, std::string_view key, const std::string& value);
    [[nodiscard]] bool has(base::StageKind stage) const;

    [[nodiscard]] std::string text() const;

private:
    [[nodiscard]] std::size_t end_of_head() const;
    [[nodiscard]] std::size_t place_of(base::StageKind stage) const;

    std::vector<std::string> lines_;
};

/// "Harbour \"Mild\"" with its quotes, as TOML reads it; control characters are left out.
[[nodiscard]] std::string toml_string(std::string_view text);

}  // namespace gyled::cli
