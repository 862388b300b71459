#pragma once
/// Text that a person reads on a small screen: counted and cut by characters, never inside one.
///
/// Everything is UTF-8 in and out; a byte that continues no character counts as none. Pure, any thread, no
/// errors.

#include <cstddef>
#include <string>
#include <string_view>

namespace gyled::base {

/// What a title bears: the head of a notice on a locked phone shows about so many characters.
inline constexpr std::size_t title_characters = 60;

/// How many characters (code points, not bytes) the text has.
[[nodiscard]] std::size_t characters(std::string_view text);
/// At most `most` characters (1 or more); what is cut shows as an ellipsis, which counts as one of them. Cut
/// between words where that leaves at least half.
[[nodiscard]] std::string shortened(std::string text, std::size_t most);
/// `name` and `rest` in at most `title_characters`: the name gives way first, down to a few letters, because
/// the news is in the rest.
[[nodiscard]] std::string headline(std::string name, std::string_view rest);
/// "beer_temperature" as a person says it: "beer temperature".
[[nodiscard]] std::string spoken(std::string_view name);
/// The first letter made a capital, where it is an ASCII one: the beginning of a sentence.
[[nodiscard]] std::string capitalised(std::string text);

}  // namespace gyled::base
