# Turns files into one C++ file that holds their bytes:
#   cmake -DOUTPUT=assets_data.cpp "-DFILES=a.html;b.js" -P embed.cmake
# Each file is known by its name without the folder.
set(tables "")
set(rows "")
set(index 0)
foreach(file IN LISTS FILES)
  get_filename_component(name "${file}" NAME)
  file(READ "${file}" hex HEX)
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${hex}")
  string(APPEND tables "constexpr unsigned char file_${index}[] = {${bytes}0};\n")
  string(APPEND rows "    EmbeddedFile{\"${name}\", as_text(file_${index}, sizeof file_${index} - 1)},\n")
  math(EXPR index "${index} + 1")
endforeach()
file(WRITE "${OUTPUT}" "// Written by embed.cmake; not to be edited.
#include <array>
#include <cstddef>

#include \"daemon/web/assets.hpp\"

namespace gyled::web {
namespace {
${tables}
std::string_view as_text(const unsigned char* bytes, std::size_t size) {
    return {reinterpret_cast<const char*>(bytes), size};
}
}  // namespace

std::span<const EmbeddedFile> embedded_files() {
    static const std::array<EmbeddedFile, ${index}> files{
${rows}    };
    return files;
}

}  // namespace gyled::web
")
