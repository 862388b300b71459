/// The vessel is a truth of its own: of the daemon it knows the words and the units, nothing that computes.

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <string>
#include <string_view>

namespace gyled::virtual_vessel {
namespace {

/// Time, results, quantities, stages, unit conversions.
constexpr std::string_view plain_words = "daemon/base/";

TEST(Independence, ThePlantIncludesNothingOfTheDaemonThatComputes) {
    const std::regex include{R"re(^\s*#include\s+"(daemon/[^"]+)")re"};
    int files = 0, includes = 0;
    for (const auto& entry :
         std::filesystem::recursive_directory_iterator{GYLED_SOURCE_DIR "/sensors/virtual_vessel"}) {
        const std::string extension = entry.path().extension();
        if (extension != ".cpp" && extension != ".hpp") continue;
        ++files;
        std::ifstream in{entry.path()};
        std::smatch found;
        for (std::string line; std::getline(in, line);) {
            if (!std::regex_search(line, found, include)) continue;
            ++includes;
            EXPECT_TRUE(found[1].str().starts_with(plain_words)) << entry.path() << ": " << found[1];
        }
    }
    EXPECT_GT(files, 30);
    EXPECT_GT(includes, 5);
}

}  // namespace
}  // namespace gyled::virtual_vessel
