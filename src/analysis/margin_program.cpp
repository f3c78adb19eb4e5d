// Variables: a factor u for each gate, the spread d, the slack e. Rows: form(u) - e >= 0 or form(u) = 0, and
// 1 - d <= u <= 1 + d. Least spread: e = 0, d as small as possible. Widest: d given, e as large as possible.
// Forms have whole coefficients, so that nothing is lost on the way into the exact simplex method.
#include "analysis/margin_program.h"

#include <glpk.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numeric>

namespace settle {
namespace {

struct ProblemDeleter {
  void operator()(glp_prob* problem) const { glp_delete_prob(problem); }
};

// One matrix row under construction; GLPK counts from 1.
class MatrixRow {
 public:
  void put(int column, double value) {
    columns_.push_back(column);
    values_.push_back(value);
  }
  void store(glp_prob* problem, int row) {
    glp_set_mat_row(problem, row, static_cast<int>(columns_.size()) - 1, columns_.data(), values_.data());
    columns_.resize(1);
    values_.resize(1);
  }

 private:
  std::vector<int> columns_{0};
  std::vector<double> values_{0};
};

}  // namespace

RowKind simplify(TimeRow& row) {
  std::int64_t divisor = 0;
  bool has_positive = false, has_negative = false;
  for (const std::int64_t c : row.form) {
    divisor = std::gcd(divisor, c);
    has_positive = has_positive || c > 0;
    has_negative = has_negative || c < 0;
  }
  if (divisor == 0) return row.equal ? RowKind::always : RowKind::never;
  if (!has_negative) return row.equal ? RowKind::never : RowKind::always;
  if (!has_positive) return RowKind::never;
  for (std::int64_t& c : row.form) c /= divisor;
  if (row.equal) {
    // One sign for both ways of writing it.
    const auto first = std::find_if(row.form.begin(), row.form.end(), [](std::int64_t c) { return c != 0; });
    if (*first < 0) {
      for (std::int64_t& c : row.form) c = -c;
    }
  }
  return RowKind::open;
}

double value_of(const TimeForm& form, std::span<const double> factors) {
  double sum = 0;
  for (std::size_t k = 0; k < form.size(); ++k) sum += static_cast<double>(form[k]) * factors[k];
  return sum;
}

double least_spread_of(const TimeRow& row) {
  double sum = 0, sizes = 0;
  for (const std::int64_t c : row.form) {
    sum += static_cast<double>(c);
    sizes += std::abs(static_cast<double>(c));
  }
  if (sizes == 0) return 0;
  return std::max(0.0, row.equal ? std::abs(sum) : -sum) / sizes;
}

std::size_t OrderProgram::RowHash::operator()(const TimeForm& form) const {
  std::uint64_t hash = 0x9e3779b97f4a7c15u;
  for (const std::int64_t c : form)
    hash = (hash ^ static_cast<std::uint64_t>(c)) * 0x100000001b3u + (hash >> 31);
  return static_cast<std::size_t>(hash);
}

OrderProgram::OrderProgram(std::size_t factors) : factors_(factors) { glp_term_out(GLP_OFF); }

OrderProgram::~OrderProgram() = default;

void OrderProgram::clear() {
  rows_.clear();
  strict_.clear();
  equal_.clear();
  contradiction_ = false;
}

void OrderProgram::add(const TimeRow& row) {
  if (!(row.equal ? equal_ : strict_).insert(row.form).second) return;
  TimeForm opposite = row.form;
  for (std::int64_t& c : opposite) c = -c;
  contradiction_ = contradiction_ || strict_.contains(opposite) ||
                   (row.equal && strict_.contains(row.form)) ||
                   (!row.equal && (equal_.contains(row.form) || equal_.contains(opposite)));
  rows_.push_back(row);
}

ProgramPoint OrderProgram::least_spread(bool exact) const { return solve(Goal::spread, 1, exact); }
ProgramPoint OrderProgram::widest(double most_spread, bool exact) const {
  return solve(Goal::slack, most_spread, exact);
}
ProgramPoint OrderProgram::widest(bool exact) const { return solve(Goal::any_slack, 1, exact); }

ProgramPoint OrderProgram::solve(Goal goal, double most_spread, bool exact) const {
  const int factors = static_cast<int>(factors_), rows = static_cast<int>(rows_.size());
  const int spread = factors + 1, slack = factors + 2;
  const std::unique_ptr<glp_prob, ProblemDeleter> owner(glp_create_prob());
  glp_prob* const problem = owner.get();
  glp_add_cols(problem, factors + 2);
  for (int k = 1; k <= factors; ++k) glp_set_col_bnds(problem, k, GLP_DB, 0, 2);
  if (goal == Goal::slack) {
    glp_set_col_bnds(problem, spread, GLP_FX, most_spread, most_spread);
  } else {
    glp_set_col_bnds(problem, spread, GLP_DB, 0, most_spread);
  }
  if (goal == Goal::spread) {
    glp_set_col_bnds(problem, slack, GLP_FX, 0, 0);
  } else {
    glp_set_col_bnds(problem, slack, GLP_DB, 0, 1);
  }
  glp_set_obj_dir(problem, goal == Goal::spread ? GLP_MIN : GLP_MAX);
  glp_set_obj_coef(problem, goal == Goal::spread ? spread : slack, 1);
  glp_add_rows(problem, std::max(rows + 2 * factors, 1));  // the library knows no problem without rows
  MatrixRow row;
  for (int i = 0; i < rows; ++i) {
    const TimeRow& given = rows_[static_cast<std::size_t>(i)];
    for (int k = 0; k < factors; ++k) {
      const std::int64_t c = given.form[static_cast<std::size_t>(k)];
      if (c != 0) row.put(k + 1, static_cast<double>(c));
    }
    if (!given.equal) row.put(slack, -1);
    row.store(problem, i + 1);
    glp_set_row_bnds(problem, i + 1, given.equal ? GLP_FX : GLP_LO, 0, 0);
  }
  for (int k = 1; k <= factors; ++k) {
    const int low = rows + 2 * k - 1, high = rows + 2 * k;
    row.put(k, 1);
    row.put(spread, 1);
    if (goal == Goal::any_slack) row.put(slack, -1);  // factors stay above 0
    row.store(problem, low);
    glp_set_row_bnds(problem, low, GLP_LO, 1, 0);
    row.put(k, 1);
    row.put(spread, -1);
    row.store(problem, high);
    glp_set_row_bnds(problem, high, GLP_UP, 0, 1);
  }
  glp_smcp options;
  glp_init_smcp(&options);
  options.msg_lev = GLP_MSG_OFF;
  ProgramPoint point;
  if (glp_simplex(problem, &options) != 0) exact = true;  // numbers misbehave: begin anew in rationals
  if (exact && glp_exact(problem, &options) != 0) return point;
  if (glp_get_status(problem) != GLP_OPT) return point;
  point.found = true;
  point.spread = glp_get_col_prim(problem, spread);
  point.slack = glp_get_col_prim(problem, slack);
  for (int k = 1; k <= factors; ++k) point.factors.push_back(glp_get_col_prim(problem, k));
  for (int i = 1; i <= rows; ++i) point.weights.push_back(std::abs(glp_get_row_dual(problem, i)));
  return point;
}

}  // namespace settle
