#include "circuit/complement_name.h"

#include <algorithm>
#include <array>

#include "text/letter_case.h"

namespace settle {

bool marks_inverse_of(std::string_view name, std::string_view base) {
  constexpr std::array<std::string_view, 4> behind = {"_n", "n", "_b", "_bar"};
  constexpr std::array<std::string_view, 3> before = {"n_", "n", "not_"};
  if (base.empty() || name.size() <= base.size()) return false;
  const auto mark_in = [](std::string_view text, const auto& marks) {
    return std::any_of(marks.begin(), marks.end(),
                       [&](std::string_view mark) { return in_lower_case(text) == mark; });
  };
  return (name.starts_with(base) && mark_in(name.substr(base.size()), behind)) ||
         (name.ends_with(base) && mark_in(name.substr(0, name.size() - base.size()), before));
}

}  // namespace settle
