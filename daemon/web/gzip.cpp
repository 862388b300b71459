#include "daemon/web/gzip.hpp"

#include <zlib.h>

#include <boost/beast/http/rfc7230.hpp>
#include <cstdlib>
#include <new>

#include "daemon/web/without_case.hpp"

namespace gyled::web {

std::string gzipped(std::string_view bytes, int level) {
    z_stream stream{};
    constexpr int gzip_window = 15 + 16;  // zlib: add 16 to the window's bits for a gzip wrapper
    if (deflateInit2(&stream, level, Z_DEFLATED, gzip_window, 8, Z_DEFAULT_STRATEGY) != Z_OK)
        throw std::bad_alloc{};
    std::string out(deflateBound(&stream, static_cast<uLong>(bytes.size())), '\0');
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data()));
    stream.avail_in = static_cast<uInt>(bytes.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    stream.avail_out = static_cast<uInt>(out.size());
    deflate(&stream, Z_FINISH);
    out.resize(stream.total_out);
    deflateEnd(&stream);
    return out;
}

bool accepts_gzip(std::string_view accept_encoding) {
    for (const auto& [coding, parameters] : boost::beast::http::ext_list{accept_encoding}) {
        if (!equal_without_case(coding, "gzip") && coding != "*") continue;
        bool refused = false;
        for (const auto& [key, value] : parameters)
            if (equal_without_case(key, "q")) refused = std::strtod(std::string{value}.c_str(), nullptr) <= 0;
        return !refused;
    }
    return false;
}

}  // namespace gyled::web
