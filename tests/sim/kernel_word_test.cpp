// A gate evaluated from its word agrees with the gate functions.
#include "sim/kernel_word.h"

#include <vector>

#include "support/catch.h"

namespace settle {
namespace {

std::uint64_t word_of(GateKind kind, const std::vector<Value>& pins) {
  std::uint64_t w = word::start(kind, static_cast<std::uint32_t>(pins.size()));
  for (const Value pin : pins) w += word::weight(pin);
  return w;
}

// All pin values of a width, one after another; false after the last.
bool next_pins(std::vector<Value>& pins) {
  for (Value& pin : pins) {
    if (pin != Value::z) {
      pin = static_cast<Value>(static_cast<unsigned>(pin) + 1);
      return true;
    }
    pin = Value::zero;
  }
  return false;
}

TEST_CASE("a word gives the function of every kind for all pin values") {
  for (int k = 0; k < static_cast<int>(GateKind::bufif0); ++k) {
    const auto kind = static_cast<GateKind>(k);
    const std::uint32_t most = k < static_cast<int>(GateKind::and_) && k != 0 ? 1 : 5;
    for (std::uint32_t width = 1; width <= (kind == GateKind::buf ? 1 : most); ++width) {
      std::vector<Value> pins(width, Value::zero);
      do {
        const std::uint64_t w = word_of(kind, pins);
        CAPTURE(name_of(kind), width);
        REQUIRE((w & word::is_slow) == 0);
        REQUIRE(static_cast<Value>(word::evaluate(w)) == evaluate(kind, pins));
      } while (next_pins(pins));
    }
  }
}

TEST_CASE("the short way tells the same of every gate without unknown inputs") {
  for (const GateKind kind : {GateKind::buf, GateKind::not_, GateKind::and_, GateKind::nand, GateKind::or_,
                              GateKind::nor, GateKind::xor_, GateKind::xnor}) {
    const bool one_pin = kind == GateKind::buf || kind == GateKind::not_;
    for (unsigned pins = 0; pins < 16; ++pins) {
      const unsigned width = one_pin ? 1 : 4;
      std::vector<Value> values;
      for (unsigned i = 0; i < width; ++i) values.push_back(to_value((pins >> i & 1) != 0));
      for (const Value heading : {Value::zero, Value::one, Value::x}) {
        for (unsigned used = 1; used <= width; ++used) {
          const std::vector<Value> seen(values.begin(), values.begin() + used);
          const std::uint64_t w = word::heading_for(word_of(kind, seen), static_cast<std::uint64_t>(heading));
          const bool wide = (kind == GateKind::xor_ || kind == GateKind::xnor) && used > 2;
          CAPTURE(name_of(kind), pins, used, to_char(heading));
          REQUIRE(((w & word::unclear) == 0) == (heading != Value::x && !wide));
          REQUIRE(word::drive_in(w) == static_cast<std::uint64_t>(heading));
          REQUIRE(word::differs(w) == (evaluate(kind, seen) != heading));
          if (w & word::unclear) continue;
          CHECK((word::moves_shortly(w) != 0) == word::differs(w));
          CHECK(word::moves_shortly(w & ~word::stance) == 0);  // queued
          const std::uint64_t there = word::heading_for(w, static_cast<std::uint64_t>(evaluate(kind, seen)));
          CHECK(word::evaluated[word::outcome(w)] == (there & word::lowest));
          CHECK(word::moves_shortly(there) == 0);
        }
      }
    }
  }
}

TEST_CASE("deltas lead from the word of old values to the word of new ones") {
  for (unsigned from = 0; from < 4; ++from) {
    for (unsigned to = 0; to < 4; ++to) {
      const auto a = word_of(GateKind::nand, {static_cast<Value>(from), Value::x});
      const auto b = word_of(GateKind::nand, {static_cast<Value>(to), Value::x});
      CHECK(a + word::delta[from][to] == b);
    }
  }
}

TEST_CASE("counts hold up to the widest gate that fits, and flags are never touched") {
  const std::uint32_t wide = word::most_fan_in;
  const std::uint64_t flags_of_it = word::inverts | word::turned | std::uint64_t{5} << word::heading_shift;
  std::uint64_t w = word::start(GateKind::nand, wide) | flags_of_it;
  w += wide * word::weight(Value::x);  // all pins x
  CHECK(static_cast<Value>(word::evaluate(w)) == Value::x);
  w += (wide - 1) * word::delta[2][1];  // all but one are 1
  CHECK(static_cast<Value>(word::evaluate(w)) == Value::x);
  CHECK(static_cast<Value>(word::evaluate(w + word::delta[2][0])) == Value::one);
  CHECK(static_cast<Value>(word::evaluate(w + word::delta[2][1])) == Value::zero);
  CHECK((w & (word::one_unknown - 1)) == flags_of_it);

  std::uint64_t either = word::start(GateKind::or_, wide) + wide * word::weight(Value::one);
  CHECK(static_cast<Value>(word::evaluate(either)) == Value::one);
  either += wide * word::delta[1][0];
  CHECK(static_cast<Value>(word::evaluate(either)) == Value::zero);

  // One pin more does not fit: the gate is not evaluated from its word, and the flags still hold.
  std::uint64_t wider = word::start(GateKind::or_, wide + 1);
  CHECK((wider & word::is_slow) != 0);
  const auto flags = wider & (word::one_unknown - 1);
  for (int i = 0; i < 3; ++i) wider += (std::uint64_t{wide} + 1) * word::weight(Value::x);
  CHECK((wider & (word::one_unknown - 1)) == flags);
}

}  // namespace
}  // namespace settle
