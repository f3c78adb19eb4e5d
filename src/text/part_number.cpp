// Part numbers of the 74 and 4000 series: [maker] 74 [family] digits [package], [maker] 4 digits [package].
#include "settle/catalogue.h"
#include "text/characters.h"

namespace settle {
namespace {

char upper(char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; }

}  // namespace

std::optional<PartNumber> part_number_from(std::string_view text) {
  std::string word;
  for (const char c : text) word += upper(c);
  std::size_t at = 0;
  const auto letters = [&] {
    const auto start = at;
    while (at < word.size() && is_letter(word[at])) ++at;
    return word.substr(start, at - start);
  };
  const auto digits = [&] {
    const auto start = at;
    while (at < word.size() && is_digit(word[at])) ++at;
    return word.substr(start, at - start);
  };
  letters();  // of the maker
  const std::string first = digits();
  PartNumber result;
  if (first == "74") {
    result.family = letters();
    result.number = "74" + digits();
    if (result.family.empty() || result.number.size() < 4) return {};
  } else if (first.starts_with("74") && first.size() >= 4) {
    result.number = first;
  } else if (first.size() >= 4 && first.size() <= 5 && first.front() == '4') {
    result = {first, "4000B"};
  } else {
    return {};
  }
  letters();  // of the package
  return at == word.size() ? std::optional(result) : std::nullopt;
}

std::string part_number_text(std::string_view number, std::string_view family) {
  if (family.empty()) return std::string(number);
  // The inverters of the 4000 series are made without buffers only.
  if (family == "4000B") return std::string(number) + (number == "4049" || number == "4069" ? "UB" : "B");
  return std::string(number.substr(0, 2)) + std::string(family) + std::string(number.substr(2));
}

}  // namespace settle
