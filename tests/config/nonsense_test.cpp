/// Whatever stands in the file: an answer, and a place where something is wrong.

#include <fstream>
#include <iterator>
#include <random>

#include "tests/config/asking.hpp"

namespace gyled::config {
namespace {

std::string content(const std::string& name) {
    std::ifstream file{std::string{GYLED_SOURCE_DIR} + "/config/" + name, std::ios::binary};
    return {std::istreambuf_iterator<char>{file}, {}};
}

/// Damages a text as people, editors and disks do.
class Vandal {
public:
    explicit Vandal(unsigned seed) : dice_{seed} {}

    std::string damage(std::string text) {
        for (int blow = 1 + roll(4); blow > 0 && !text.empty(); --blow) {
            const std::size_t at = place(text);
            switch (roll(7)) {
                case 0:
                    text[at] = static_cast<char>(roll(256));
                    break;
                case 1:
                    text.erase(at, static_cast<std::size_t>(1 + roll(20)));
                    break;
                case 2:
                    text.insert(at, 1, "[]{}\"'=,.#\n\\0-+e"[static_cast<std::size_t>(roll(16))]);
                    break;
                case 3:
                    text.insert(at, text.substr(place(text), static_cast<std::size_t>(roll(200))));
                    break;
                case 4:
                    text.erase(at);
                    break;
                case 5:
                    std::swap(text[at], text[place(text)]);
                    break;
                default:
                    text.insert(at, odd_values[static_cast<std::size_t>(roll(std::size(odd_values)))]);
                    break;
            }
        }
        return text;
    }

private:
    int roll(std::size_t sides) {
        return std::uniform_int_distribution<int>{0, static_cast<int>(sides) - 1}(dice_);
    }
    std::size_t place(const std::string& text) { return static_cast<std::size_t>(roll(text.size())); }

    static constexpr const char* odd_values[] = {"nan",
                                                 "-inf",
                                                 "1e999",
                                                 "99999999999999999999",
                                                 "0x7fffffffffffffff",
                                                 "[[",
                                                 "\"\"\"",
                                                 "1979-05-27",
                                                 "\\uD800",
                                                 "\xff\xfe",
                                                 "= =",
                                                 "\0x",
                                                 "[sensor]\n",
                                                 "true"};
    std::mt19937 dice_;
};

/// Right, or wrong with a place inside the text.
template <class Answer>
void expect_sound(const Answer& answer, const std::string& text) {
    if (answer) return;
    ASSERT_FALSE(answer.error().empty()) << text;
    const auto lines = static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')) + 1;
    for (const Mistake& mistake : answer.error()) {
        EXPECT_FALSE(mistake.what.empty()) << text;
        EXPECT_LE(mistake.line, lines) << mistake.text() << '\n' << text;
        EXPECT_EQ(mistake.line == 0, mistake.column == 0) << mistake.text();
    }
}

TEST(Nonsense, ADamagedConfigurationIsRightOrWrongInAPlace) {
    const std::string sample = content("gyled.toml");
    ASSERT_FALSE(sample.empty());
    int wrong = 0;
    for (unsigned seed = 0; seed < 4000; ++seed) {
        const std::string text = Vandal{seed}.damage(sample);
        const auto config = parse_config(text, "gyled.toml");
        expect_sound(config, text);
        if (!config) ++wrong;
        if (HasFailure()) FAIL() << "seed " << seed;
    }
    EXPECT_GT(wrong, 1000) << "the vandal is too gentle to prove anything";
}

TEST(Nonsense, ADamagedBatchIsRightOrWrongInAPlace) {
    const std::string sample = content("batches/ale.toml");
    ASSERT_FALSE(sample.empty());
    for (unsigned seed = 0; seed < 4000; ++seed) {
        const std::string text = Vandal{seed}.damage(sample);
        expect_sound(parse_batch(text, "batch.toml"), text);
        if (HasFailure()) FAIL() << "seed " << seed;
    }
}

TEST(Nonsense, DeepNestingIsRefusedNotFallenInto) {
    std::string dots = "a";
    for (int i = 0; i < 60'000; ++i) dots += ".a";
    std::string lists = "a = " + std::string(60'000, '[');
    std::string tables = "a = ";
    for (int i = 0; i < 30'000; ++i) tables += "{a=";
    std::string headers;
    for (int i = 0; i < 10'000; ++i) headers += "[a" + std::to_string(i) + "]\n";
    for (const std::string& text :
         {dots + " = 1", "[" + dots + "]", "[[" + dots + "]]", lists, tables, headers})
        EXPECT_FALSE(mistakes_in(text).empty());
}

TEST(Nonsense, ManyNamelessSensorsAreNoBurden) {
    std::string text = north;
    while (text.size() < 200'000)
        text += "[[sensor]]\nvessel = \"north\"\nmeasures = \"gravity\"\ntopic = \"a\"\n";
    const auto config = parse_config(text, "gyled.toml");
    ASSERT_TRUE(config);
    EXPECT_GT(config->sensors.size(), 2000U);
}

}  // namespace
}  // namespace gyled::config
