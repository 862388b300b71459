#pragma once
/// The page's files, compiled into the program.

#include <span>
#include <string>
#include <string_view>

namespace gyled::web {

/// One file as the build embedded it (embed.cmake writes the table).
struct EmbeddedFile {
    std::string_view name;
    std::string_view bytes;
};
[[nodiscard]] std::span<const EmbeddedFile> embedded_files();

/// One file ready to be sent: compressed once, named by its content.
struct Asset {
    std::string_view content_type;
    std::string_view bytes;
    std::string gzipped;  ///< empty when compression gains nothing
    std::string etag;     ///< weak (one for both encodings), from the content's SHA-256
};

/// The asset of that file name, such as "index.html"; nullptr when there is none. The first call compresses
/// them all.
[[nodiscard]] const Asset* find_asset(std::string_view name);

}  // namespace gyled::web
