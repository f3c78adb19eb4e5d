// An irredundant prime cover in one pass, for functions too wide for a list of all primes.
//
// Idea: split by one variable. What must be covered in one half and cannot be covered in the other
// needs the variable; the rest is covered by products without it. Halves are halves of the bit
// array, so every step works on whole words; the last six variables lie inside one word.
// Invariant: on <= result <= allowed. The result is irredundant and its products are prime.
// Cost: 2^n / 64 words times 1.5 for each variable above six at worst; the depth is the number of
// variables.
// Sources: E. Morreale, "Recursive Operators for Prime Implicant and Irredundant Normal Form
// Determination", IEEE Trans. Computers C-19 (1970); S. Minato, "Fast Generation of Prime-Irredundant
// Covers from Binary Decision Diagrams", IEICE Trans. Fundamentals E76-A (1993).
#include <algorithm>
#include <array>

#include "analysis/prime_cover.h"
#include "analysis/vector_words.h"
#include "settle/progress.h"

namespace settle {
namespace {

using Word = std::uint64_t;

class CoverSplitter {
 public:
  explicit CoverSplitter(const std::atomic<bool>* stop) : stop_(stop) {}

  std::vector<Cube> take() { return std::move(cubes_); }

  // Bits `bits` of the vector index are split inside one word.
  Word in_word(Word on, Word allowed, unsigned bits, Cube prefix) {
    if (on == 0) return 0;
    if (allowed == ~Word{0}) {
      cubes_.push_back(prefix);
      return ~Word{0};
    }
    const unsigned b = bits - 1;  // allowed is not all ones, so there is a variable left
    const unsigned shift = 1u << b;
    const Word one = vectors_with[b];
    const auto low = [&](Word w) { return (w & ~one) | ((w & ~one) << shift); };
    const auto high = [&](Word w) { return (w & one) | ((w & one) >> shift); };
    const Word allowed0 = low(allowed), allowed1 = high(allowed);
    const Word f0 = in_word(low(on) & ~allowed1, allowed0, b, with(prefix, b, false));
    const Word f1 = in_word(high(on) & ~allowed0, allowed1, b, with(prefix, b, true));
    const Word rest = (low(on) & ~f0) | (high(on) & ~f1);
    const Word both = in_word(rest, allowed0 & allowed1, b, prefix);
    return ((f0 | both) & ~one) | ((f1 | both) & one);
  }

  void in_array(std::span<const Word> on, std::span<const Word> allowed, unsigned bits, Cube prefix,
                std::span<Word> result) {
    if (bits <= 6) {
      result[0] = in_word(on[0], allowed[0], bits, prefix);
      return;
    }
    // Stopped: what comes out is no cover any more, and the caller knows.
    if (is_set(stop_) || std::all_of(on.begin(), on.end(), [](Word w) { return w == 0; })) {
      std::fill(result.begin(), result.end(), Word{0});
      return;
    }
    if (std::all_of(allowed.begin(), allowed.end(), [](Word w) { return w == ~Word{0}; })) {
      cubes_.push_back(prefix);
      std::fill(result.begin(), result.end(), ~Word{0});
      return;
    }
    const unsigned b = bits - 1;
    const std::size_t half = on.size() / 2;
    const auto on0 = on.first(half), on1 = on.last(half);
    const auto allowed0 = allowed.first(half), allowed1 = allowed.last(half);
    const auto result0 = result.first(half), result1 = result.last(half);
    std::vector<Word> need(half), room(half), both(half);
    for (std::size_t i = 0; i < half; ++i) need[i] = on0[i] & ~allowed1[i];
    in_array(need, allowed0, b, with(prefix, b, false), result0);
    for (std::size_t i = 0; i < half; ++i) need[i] = on1[i] & ~allowed0[i];
    in_array(need, allowed1, b, with(prefix, b, true), result1);
    for (std::size_t i = 0; i < half; ++i) {
      need[i] = (on0[i] & ~result0[i]) | (on1[i] & ~result1[i]);
      room[i] = allowed0[i] & allowed1[i];
    }
    in_array(need, room, b, prefix, both);
    for (std::size_t i = 0; i < half; ++i) {
      result0[i] |= both[i];
      result1[i] |= both[i];
    }
  }

 private:
  static Cube with(Cube cube, unsigned bit, bool value) {
    cube.care |= 1u << bit;
    if (value) cube.value |= 1u << bit;
    return cube;
  }
  const std::atomic<bool>* stop_;
  std::vector<Cube> cubes_;
};

// Fills a word with copies of a function of fewer than six variables.
Word spread(Word word, unsigned variables) {
  for (unsigned v = variables; v < 6; ++v) word |= word << (1u << v);
  return word;
}

}  // namespace

std::vector<Cube> irredundant_cover(unsigned variables, const FunctionBits& on, const FunctionBits& allowed,
                                    const std::atomic<bool>* stop) {
  CoverSplitter splitter(stop);
  if (variables <= 6) {
    splitter.in_word(spread(on[0], variables), spread(allowed[0], variables), variables, {});
  } else {
    std::vector<Word> result(on.size());
    splitter.in_array(on, allowed, variables, {}, result);
  }
  return splitter.take();
}

}  // namespace settle
