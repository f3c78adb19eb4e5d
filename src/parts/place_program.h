// The fewest packages for so many gates of each kind.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "parts/replacements.h"

namespace settle {

/// A gate that has another form as well: nor(a,a) is a 2-input nor, and a not. Equal when it has none.
struct PlaceClass {
  GateNeed need;
  GateNeed reduced;
  auto operator<=>(const PlaceClass&) const = default;
};

struct PlaceProblem {
  struct Package {
    GateNeed gate;
    std::uint32_t gates = 4;
    bool is_general = true;       ///< for all gates, not only for those that ask for it
    std::uint64_t asked_for = 0;  ///< gates that must be in a package of this kind
  };
  struct Demand {
    PlaceClass gate;
    std::uint64_t count = 0;
  };
  struct NamedChip {
    std::vector<std::uint32_t> packages;  ///< kinds of package that it may be
    std::vector<std::uint32_t> replaced;  ///< by these kinds: gates that are another kind of gate there
    std::uint32_t gates = 0;              ///< gates with a place in it
  };
  std::vector<Package> packages;
  std::vector<Demand> demands;
  std::vector<NamedChip> named;
  Substitute level = Substitute::none;
  std::uint64_t steps = 20'000;  ///< subproblems of branch and bound; then the best found counts
};

/// How each class of gates is built: `counts[w]` gates in way `ways[w]`.
struct ClassPlan {
  PlaceClass gate;
  std::vector<Way> ways;  ///< cheapest first
  std::vector<std::uint64_t> counts;
};

struct PlaceAnswer {
  std::vector<ClassPlan> classes;
  std::vector<std::uint64_t> chips;  ///< by kind of package, without the named ones
  std::vector<std::uint32_t> named;  ///< kind of package of each named chip
  std::uint64_t total = 0;           ///< named ones included
  std::uint64_t lower_bound = 0;
  bool is_fewest = false;  ///< total == lower_bound
};

/// Gates that no way leads to; empty: all can be built.
std::vector<GateNeed> impossible_needs(const PlaceProblem& problem);

/// All needs of the problem must be possible. Nothing when the named chips leave no solution.
std::optional<PlaceAnswer> solve_places(const PlaceProblem& problem);

/// The gate needs that a way hands on: its gates, where it is not itself one gate of a package.
bool is_direct(const Way& way);

}  // namespace settle
