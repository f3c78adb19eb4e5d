// The linear programme behind margins: gate delays that bring about a given order of events.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <unordered_set>
#include <vector>

namespace settle {

/// A difference of times, as a sum over the factors of a step: entry k is the number of ticks that factor k
/// contributes when it is 1. A factor says how slow a gate is: its delays are its nominal delays times it.
using TimeForm = std::vector<std::int64_t>;

/// A condition on the factors: form > 0, or form = 0.
struct TimeRow {
  TimeForm form;
  bool equal = false;
};

/// What a row says before anything is computed.
enum class RowKind : std::uint8_t { always, never, open };

/// Divides by the greatest common divisor and tells rows that hold for all positive factors, or for none.
RowKind simplify(TimeRow& row);

/// The value of a form.
double value_of(const TimeForm& form, std::span<const double> factors);

/// The least d for which some factors within 1-d .. 1+d make this form >= 0 (for `equal`: = 0).
double least_spread_of(const TimeRow& row);

/// Factors that meet the rows of an OrderProgram.
struct ProgramPoint {
  bool found = false;
  double spread = 0;  ///< d: all factors lie within 1-d .. 1+d
  double slack = 0;   ///< all strict rows are at least this
  std::vector<double> factors;
  std::vector<double> weights;  ///< by row: how much the optimum hangs on it (dual values)
};

/// Collects rows and optimises over them. Solved by GLPK: the simplex method in floating point, and on
/// request its exact simplex method, which goes on from there in rational numbers.
class OrderProgram {
 public:
  explicit OrderProgram(std::size_t factors);
  ~OrderProgram();
  OrderProgram(const OrderProgram&) = delete;
  OrderProgram& operator=(const OrderProgram&) = delete;

  void clear();
  /// A row simplified before; what was added before is left out. The order of rows stays.
  void add(const TimeRow& row);
  /// Two of the rows say the opposite of each other.
  bool contradicts_itself() const { return contradiction_; }
  std::span<const TimeRow> rows() const { return rows_; }

  /// The least d for which factors within 1-d .. 1+d meet all rows, strict ones with >= 0.
  ProgramPoint least_spread(bool exact = false) const;
  /// Factors that meet the strict rows by as much as possible, within 1-d .. 1+d for d = `most_spread`.
  ProgramPoint widest(double most_spread, bool exact = false) const;
  /// The same for any d < 1.
  ProgramPoint widest(bool exact = false) const;

 private:
  enum class Goal : std::uint8_t { spread, slack, any_slack };
  ProgramPoint solve(Goal goal, double most_spread, bool exact) const;

  struct RowHash {
    std::size_t operator()(const TimeForm& form) const;
  };
  std::size_t factors_;
  std::vector<TimeRow> rows_;
  std::unordered_set<TimeForm, RowHash> strict_, equal_;
  bool contradiction_ = false;
};

}  // namespace settle
