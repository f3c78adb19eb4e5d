// Sets of steps in few words.
//
// A pattern gives each input a set of (before, after) pairs; it is the product of these sets. Each
// wanted step is grown greedily: input after input its set is widened as far as all steps of the
// product are wanted or free. Patterns that others make superfluous are left out.
#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "analysis/findings.h"

namespace settle {
namespace {

constexpr std::uint8_t stays_0 = 1, rises = 2, falls = 4, stays_1 = 8;

unsigned symbol(unsigned inputs, VectorPair pair, unsigned input) {
  const unsigned shift = inputs - 1 - input;
  return (pair.from >> shift & 1u) * 2 + (pair.to >> shift & 1u);
}

// All steps of a pattern, or nothing when there are too many.
bool all_in(const StepPattern& pattern, const std::set<VectorPair>& allowed) {
  std::vector<VectorPair> pairs{{0, 0}};
  for (const std::uint8_t set : pattern) {
    std::vector<VectorPair> longer;
    for (const VectorPair pair : pairs) {
      for (unsigned s = 0; s < 4; ++s) {
        if ((set >> s & 1u) != 0) longer.push_back({pair.from << 1 | s >> 1, pair.to << 1 | (s & 1u)});
      }
    }
    if (longer.size() > allowed.size()) return false;
    pairs = std::move(longer);
  }
  return std::all_of(pairs.begin(), pairs.end(), [&](VectorPair pair) { return allowed.contains(pair); });
}

}  // namespace

bool contains(const StepPattern& pattern, VectorPair pair) {
  for (unsigned i = 0; i < pattern.size(); ++i) {
    if ((pattern[i] >> symbol(static_cast<unsigned>(pattern.size()), pair, i) & 1u) == 0) return false;
  }
  return true;
}

std::vector<StepPattern> cover_with_patterns(unsigned inputs, const std::vector<VectorPair>& wanted,
                                             const std::vector<VectorPair>& free) {
  std::set<VectorPair> allowed(wanted.begin(), wanted.end());
  allowed.insert(free.begin(), free.end());
  std::vector<StepPattern> patterns;
  for (const VectorPair pair : wanted) {
    if (std::any_of(patterns.begin(), patterns.end(), [&](const StepPattern& p) { return contains(p, pair); })) continue;
    StepPattern pattern(inputs);
    for (unsigned i = 0; i < inputs; ++i) pattern[i] = static_cast<std::uint8_t>(1u << symbol(inputs, pair, i));
    // Inputs that rest are freed first: the sentence is about those that change.
    for (const bool changing : {false, true}) {
      for (unsigned i = 0; i < inputs; ++i) {
        const bool changes = pattern[i] == rises || pattern[i] == falls;
        if (changes != changing) continue;
        const std::uint8_t before = pattern[i];
        for (const std::uint8_t wider : {std::uint8_t{15}, std::uint8_t{stays_0 | stays_1}, std::uint8_t{rises | falls},
                                         std::uint8_t{stays_1 | rises}, std::uint8_t{stays_0 | falls},
                                         std::uint8_t{stays_0 | rises}, std::uint8_t{stays_1 | falls}}) {
          if ((wider & before) != before) continue;
          pattern[i] = wider;
          if (all_in(pattern, allowed)) break;
          pattern[i] = before;
        }
      }
    }
    patterns.push_back(std::move(pattern));
  }
  for (std::size_t p = 0; p < patterns.size();) {
    const bool needed = std::any_of(wanted.begin(), wanted.end(), [&](VectorPair pair) {
      if (!contains(patterns[p], pair)) return false;
      for (std::size_t o = 0; o < patterns.size(); ++o) {
        if (o != p && contains(patterns[o], pair)) return false;
      }
      return true;
    });
    if (needed) {
      ++p;
    } else {
      patterns.erase(patterns.begin() + static_cast<std::ptrdiff_t>(p));
    }
  }
  return patterns;
}

std::vector<std::string> changing_inputs(const CellStudy& study, const StepPattern& pattern) {
  std::vector<std::string> names;
  for (unsigned i = 0; i < pattern.size(); ++i) {
    if ((pattern[i] & (stays_0 | stays_1)) == 0) names.push_back(study.input_name(i));
  }
  return names;
}

std::string further_kinds(std::size_t number) {
  return fmt::format("{} further {} of changes", number, number == 1 ? "kind" : "kinds");
}

std::string pattern_text(const CellStudy& study, const StepPattern& pattern) {
  std::vector<std::string> up, down, change, with;
  for (unsigned i = 0; i < pattern.size(); ++i) {
    const std::string& name = study.input_name(i);
    switch (pattern[i]) {
      case 15: break;
      case rises: up.push_back(name); break;
      case falls: down.push_back(name); break;
      case rises | falls: change.push_back(name); break;
      case stays_0: with.push_back(name + " at 0"); break;
      case stays_1: with.push_back(name + " at 1"); break;
      case stays_0 | stays_1: with.push_back(name + " at rest"); break;
      case stays_1 | rises: with.push_back(name + " at 1 afterwards"); break;
      case stays_0 | falls: with.push_back(name + " at 0 afterwards"); break;
      case stays_0 | rises: with.push_back(name + " at 0 before"); break;
      case stays_1 | falls: with.push_back(name + " at 1 before"); break;
      default: with.push_back(name + " in some way"); break;
    }
  }
  // Resting inputs need not be named when nothing else could be meant.
  std::erase_if(with, [](const std::string& text) { return text.ends_with(" at rest"); });
  std::string text;
  const auto add = [&](const std::vector<std::string>& names, std::string_view one, std::string_view several) {
    if (names.empty()) return;
    if (!text.empty()) text += " while ";
    text += fmt::format("{} {}", listed(names), names.size() == 1 ? one : several);
  };
  add(up, "rises", "rise together");
  add(down, "falls", "fall together");
  add(change, "changes", "change together");
  if (!with.empty()) text += " with " + listed(with);
  return text;
}

}  // namespace settle
