// Functions of a cell as texts with its names.
#include <algorithm>

#include <fmt/format.h>

#include "analysis/cell_study.h"

namespace settle {
namespace {

constexpr unsigned most_equation_variables = 14;

std::vector<std::string> variable_names(const CellStudy& study, const OutputRule& rule) {
  std::vector<std::string> names = study.input_names;
  for (const unsigned o : rule.stored) names.push_back(study.observed_name(o));
  return names;
}

}  // namespace

std::string equation_side(const CellStudy& study, const OutputRule& rule, bool at_edge) {
  const PartialFunction& f = at_edge ? rule.sync : rule.level;
  if (rule.kind == OutputRule::Kind::unknown || f.variables() > most_equation_variables) return {};
  return equation_text(f.minimal(), variable_names(study, rule));
}

std::string inputs_text(const CellStudy& study, const std::vector<VectorIndex>& on, const std::vector<VectorIndex>& free) {
  const unsigned n = study.circuit.input_count();
  if (on.empty() || n > most_equation_variables) return {};
  FunctionBits on_bits(function_words(n), 0), free_bits(function_words(n), 0);
  for (const VectorIndex x : on) on_bits[x >> 6] |= std::uint64_t{1} << (x & 63);
  for (const VectorIndex x : free) free_bits[x >> 6] |= std::uint64_t{1} << (x & 63);
  return equation_text(minimise(n, on_bits, free_bits).cubes, study.input_names);
}

std::string condition_text(const CellStudy& study, const std::vector<VectorIndex>& on) {
  const unsigned n = study.circuit.input_count();
  if (on.empty() || n > most_equation_variables) return {};
  FunctionBits bits(function_words(n), 0);
  for (const VectorIndex x : on) bits[x >> 6] |= std::uint64_t{1} << (x & 63);
  const std::vector<Cube> cubes = minimise(n, bits).cubes;
  if (cubes.size() != 1) return equation_text(cubes, study.input_names) + " is 1";
  std::vector<std::string> ones, zeros, texts;
  for (unsigned i = 0; i < n; ++i) {
    const std::uint32_t bit = std::uint32_t{1} << (n - 1 - i);
    if ((cubes[0].care & bit) != 0) ((cubes[0].value & bit) != 0 ? ones : zeros).push_back(study.input_name(i));
  }
  if (!ones.empty()) texts.push_back(fmt::format("{} {} 1", listed(ones), ones.size() == 1 ? "is" : "are"));
  if (!zeros.empty()) texts.push_back(fmt::format("{} {} 0", listed(zeros), zeros.size() == 1 ? "is" : "are"));
  return texts.empty() ? "whatever the inputs are" : listed(texts);
}

std::string values_text(const CellStudy& study, VectorIndex x) {
  std::string text;
  for (unsigned i = 0; i < study.circuit.input_count(); ++i) {
    const bool one = (x >> (study.circuit.input_count() - 1 - i) & 1u) != 0;
    text += fmt::format("{}{}={}", i == 0 ? "" : " ", study.input_name(i), one ? 1 : 0);
  }
  return text;
}

LevelRegions level_regions(const CellStudy& study, const OutputRule& rule, unsigned observed) {
  LevelRegions regions;
  if (rule.kind != OutputRule::Kind::level || rule.stored != std::vector<unsigned>{observed}) return regions;
  std::vector<VectorIndex> holds, sets, resets, free, free_hold;
  for (VectorIndex x = 0; x < rule.level.size() / 2; ++x) {
    const auto at = [&](unsigned q) { return !rule.level.is_known(x * 2 + q) ? 2 : int{rule.level.is_on(x * 2 + q)}; };
    const int low = at(0), high = at(1);
    if (low == 0 && high == 1) {
      holds.push_back(x);
    } else if (low == 1 && high != 0) {
      sets.push_back(x);
    } else if (high == 0 && low != 1) {
      resets.push_back(x);
    } else if (low == 2 && high == 2) {
      free.push_back(x);
    } else if (low == 2 || high == 2) {
      // Never seen with the other value: there it keeps the one that it has.
      (low == 2 ? sets : resets).push_back(x);
    }
  }
  regions.holds = inputs_text(study, holds, {});
  regions.sets = inputs_text(study, sets, {});
  regions.resets = inputs_text(study, resets, {});
  return regions;
}

std::string listed(const std::vector<std::string>& names, std::string_view last) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i != 0) text += i + 1 == names.size() ? last : std::string_view(", ");
    text += names[i];
  }
  return text;
}

}  // namespace settle
