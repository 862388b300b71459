# Turns batch files into one C++ file that holds their text:
#   cmake -DOUTPUT=ready_plans.cpp "-DFILES=ale.toml;lager.toml" -P ready_plans.cmake
# Each is known by its name without folder and ending.
set(rows "")
foreach(file IN LISTS FILES)
  get_filename_component(name "${file}" NAME_WE)
  file(READ "${file}" hex HEX)
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "\\\\x\\1" bytes "${hex}")
  string(APPEND rows "    ReadyPlan{\"${name}\", \"${bytes}\"},\n")
endforeach()
file(WRITE "${OUTPUT}" "// Written by ready_plans.cmake; not to be edited.
#include <array>

#include \"daemon/cli/ready_plans.hpp\"

namespace gyled::cli {

std::span<const ReadyPlan> ready_plans() {
    static constexpr std::array plans{
${rows}    };
    return plans;
}

}  // namespace gyled::cli
")
