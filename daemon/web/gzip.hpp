#pragma once
/// Compression for whoever accepts it.

#include <string>
#include <string_view>

namespace gyled::web {

/// The bytes as a gzip member (RFC 1952), without a time stamp: the same bytes give the same result. `level`
/// is zlib's, 1 (quick) to 9 (small). Throws std::bad_alloc when memory is out, nothing else.
[[nodiscard]] std::string gzipped(std::string_view bytes, int level = 9);

/// Does this Accept-Encoding (RFC 9110 section 12.5.3) allow gzip?
[[nodiscard]] bool accepts_gzip(std::string_view accept_encoding);

}  // namespace gyled::web
