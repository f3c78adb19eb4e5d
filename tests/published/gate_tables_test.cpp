// The four-value tables of IEEE Std 1364-2005, clauses 7.2 to 7.4 and 7.8 and Table 4-2, entry by
// entry. Written down from memory; the tables of and, nand, nor, xor and xnor were compared with
// Thomas and Moorby, The Verilog Hardware Description Language, 5th edition, Appendix D.
#include <array>
#include <string>
#include <vector>

#include "settle/gate_kind.h"
#include "support/catch.h"

namespace settle {
namespace {

constexpr std::array<Value, 4> values = {Value::zero, Value::one, Value::x, Value::z};

char to_char(Drive drive) { return "01xzLH"[static_cast<unsigned>(drive)]; }

Drive drive_from(char c) {
  const auto at = std::string("01xzLH").find(c);
  REQUIRE(at != std::string::npos);
  return static_cast<Drive>(at);
}

/// Rows: first operand (or data) 0 1 x z; columns: second operand (or control) 0 1 x z.
struct GateTable {
  GateKind kind;
  const char* rows;
};

const GateTable two_inputs[] = {
    {GateKind::and_, "0000 01xx 0xxx 0xxx"},
    {GateKind::nand, "1111 10xx 1xxx 1xxx"},
    {GateKind::or_, "01xx 1111 x1xx x1xx"},
    {GateKind::nor, "10xx 0000 x0xx x0xx"},
    {GateKind::xor_, "01xx 10xx xxxx xxxx"},
    {GateKind::xnor, "10xx 01xx xxxx xxxx"},
    // Data down, control across; L: 0 or z, H: 1 or z (Table 7-5).
    {GateKind::bufif0, "0zLL 1zHH xzxx xzxx"},
    {GateKind::bufif1, "z0LL z1HH zxxx zxxx"},
    {GateKind::notif0, "1zHH 0zLL xzxx xzxx"},
    {GateKind::notif1, "z1HH z0LL zxxx zxxx"},
};

TEST_CASE("IEEE 1364-2005 Tables 7-3 and 7-5: gates of two inputs") {
  for (const auto& [kind, rows] : two_inputs) {
    std::string got;
    for (const Value a : values) {
      if (!got.empty()) got += ' ';
      for (const Value b : values) got += to_char(drive_of(kind, std::array{a, b}));
    }
    INFO(name_of(kind));
    CHECK(got == rows);
  }
}

TEST_CASE("IEEE 1364-2005 Table 7-4: buf and not; clause 7.8: pull gates") {
  std::string buf, inverter;
  for (const Value a : values) {
    buf += to_char(drive_of(GateKind::buf, std::array{a}));
    inverter += to_char(drive_of(GateKind::not_, std::array{a}));
  }
  CHECK(buf == "01xx");
  CHECK(inverter == "10xx");
  CHECK(drive_of(GateKind::pullup, {}) == Drive::one);
  CHECK(drive_of(GateKind::pulldown, {}) == Drive::zero);
}

TEST_CASE("one input: the table with the neutral value left out (derived from the tables)") {
  for (const auto kind : {GateKind::and_, GateKind::or_, GateKind::xor_}) {
    std::string got;
    for (const Value a : values) got += to_char(drive_of(kind, std::array{a}));
    CHECK(got == "01xx");
  }
  for (const auto kind : {GateKind::nand, GateKind::nor, GateKind::xnor}) {
    std::string got;
    for (const Value a : values) got += to_char(drive_of(kind, std::array{a}));
    CHECK(got == "10xx");
  }
}

/// The natural extension: fold the two-input table of the plain kind, invert once at the end.
Value folded(GateKind kind, const std::vector<Value>& inputs) {
  const bool inverts = kind == GateKind::nand || kind == GateKind::nor || kind == GateKind::xnor;
  const auto plain = kind == GateKind::nand   ? GateKind::and_
                     : kind == GateKind::nor  ? GateKind::or_
                     : kind == GateKind::xnor ? GateKind::xor_
                                              : kind;
  const std::string rows = [&] {
    for (const auto& table : two_inputs) {
      if (table.kind == plain) return std::string(table.rows);
    }
    return std::string();
  }();
  const auto look_up = [&](Value a, Value b) {
    return *value_from_char(rows[static_cast<unsigned>(a) * 5 + static_cast<unsigned>(b)]);
  };
  Value value = inputs[0];
  for (std::size_t i = 1; i < inputs.size(); ++i) value = look_up(value, inputs[i]);
  return inverts ? inverted(value) : value;
}

TEST_CASE("clause 7.2: three to five inputs are the table applied again and again") {
  for (std::size_t count = 3; count <= 5; ++count) {
    for (unsigned number = 0; number < 1u << (2 * count); ++number) {
      std::vector<Value> inputs;
      for (std::size_t i = 0; i < count; ++i) inputs.push_back(values[number >> (2 * i) & 3u]);
      for (const auto kind :
           {GateKind::and_, GateKind::nand, GateKind::or_, GateKind::nor, GateKind::xor_, GateKind::xnor}) {
        if (evaluate(kind, inputs) == folded(kind, inputs)) continue;
        std::string text;
        for (const Value value : inputs) text += to_char(value);
        FAIL(name_of(kind) << " of " << text << " is " << to_char(evaluate(kind, inputs)));
      }
    }
  }
}

TEST_CASE("xnor of three inputs inverts once: parity, not a chain of xnor") {
  CHECK(evaluate(GateKind::xnor, std::array{Value::one, Value::one, Value::one}) == Value::zero);
  CHECK(evaluate(GateKind::xnor, std::array{Value::one, Value::one, Value::zero}) == Value::one);
}

TEST_CASE("IEEE 1364-2005 Table 4-2: a wire with two drivers") {
  std::string got;
  for (const char a : std::string("01xz")) {
    for (const char b : std::string("01xz"))
      got += to_char(resolve(std::array{drive_from(a), drive_from(b)}, {}));
    got += ' ';
  }
  CHECK(got == "0xx0 x1x1 xxxx 01xz ");
  CHECK(resolve({}, {}) == Value::z);
}

TEST_CASE("half-known drives on a wire (clause 7.4; derived from what L and H mean)") {
  struct Row {
    const char* strong;
    const char* pull;
    char wire;
  };
  // clang-format off
  const Row rows[] = {
      {"L0", "", '0'},  {"L1", "", 'x'},  {"H1", "", '1'},  {"H0", "", 'x'},  {"LH", "", 'x'},
      {"L", "", 'x'},   {"H", "", 'x'},   {"Lz", "", 'x'},  {"LL", "", 'x'},  {"Lx", "", 'x'},
      {"z", "1", '1'},  {"z", "0", '0'},  {"", "1", '1'},   {"", "0", '0'},   {"", "01", 'x'},
      {"zz", "1", '1'}, {"0", "1", '0'},  {"1", "0", '1'},  {"x", "1", 'x'},
      {"L", "0", '0'},  {"L", "1", 'x'},  {"H", "1", '1'},  {"H", "0", 'x'},  {"LH", "1", 'x'},
      {"z10", "1", 'x'}, {"zz0", "1", '0'},
  };
  // clang-format on
  for (const auto& [strong, pull, wire] : rows) {
    std::vector<Drive> strong_drives, pull_drives;
    for (const char c : std::string(strong)) strong_drives.push_back(drive_from(c));
    for (const char c : std::string(pull)) pull_drives.push_back(drive_from(c));
    INFO("strong " << strong << ", pull " << pull);
    CHECK(to_char(resolve(strong_drives, pull_drives)) == wire);
  }
}

TEST_CASE("resolution does not depend on the order of the drivers") {
  const std::string drives = "01xzLH";
  for (const char a : drives) {
    for (const char b : drives) {
      for (const char c : drives) {
        const auto first = resolve(std::array{drive_from(a), drive_from(b), drive_from(c)}, {});
        CHECK(first == resolve(std::array{drive_from(c), drive_from(a), drive_from(b)}, {}));
        CHECK(first == resolve(std::array{drive_from(b), drive_from(a), drive_from(c)}, {}));
      }
    }
  }
}

}  // namespace
}  // namespace settle
