// Products and sums as text.
#include <algorithm>

#include "settle/minimise.h"

namespace settle {

std::string cube_text(Cube cube, unsigned variables) {
  std::string text(variables, '-');
  for (unsigned v = 0; v < variables; ++v) {
    const std::uint32_t bit = 1u << (variables - 1 - v);
    if ((cube.care & bit) != 0) text[v] = (cube.value & bit) != 0 ? '1' : '0';
  }
  return text;
}

std::string equation_text(std::span<const Cube> cubes, std::span<const std::string> names,
                          const EquationStyle& style) {
  if (cubes.empty()) return "0";
  const auto variables = static_cast<unsigned>(names.size());
  std::vector<std::pair<std::string, Cube>> products;
  for (const Cube cube : cubes) {
    std::string key = cube_text(cube, variables);
    for (char& c : key) c = c == '1' ? 'a' : c == '0' ? 'b' : 'c';
    products.emplace_back(std::move(key), cube);
  }
  std::sort(products.begin(), products.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::string text;
  for (const auto& [key, cube] : products) {
    if (!text.empty()) text += style.or_sign;
    bool first = true;
    for (unsigned v = 0; v < variables; ++v) {
      if (key[v] == 'c') continue;
      if (!first) text += style.and_sign;
      first = false;
      text += names[v];
      if (key[v] == 'b') text += '\'';
    }
    if (first) text += '1';
  }
  return text;
}

}  // namespace settle
