// A reader for four-state value change dumps, written from the grammar in IEEE Std 1364-2005,
// clause 18 (from memory), and sharing no code with the writer. Strict: anything that the clause
// does not allow is an error. Fit for tests only.
#pragma once

#include <cctype>
#include <cstdint>
#include <map>
#include <set>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace settle::test {

class VcdReader {
 public:
  struct Variable {
    std::string path;       // scope.scope.name[msb:lsb]
    std::size_t size = 1;
    std::vector<std::pair<std::uint64_t, std::string>> values;  // full width, at each time written
  };
  std::string timescale, comment, version;
  std::vector<Variable> variables;
  std::uint64_t first_time = 0, last_time = 0;

  explicit VcdReader(const std::string& text) : text_(text) {
    while (!header_done_) declaration();
    require(scopes_.empty(), "scope left open");
    for (std::string word; !(word = next()).empty();) body(word);
    require(dumped_.size() == variables.size() || variables.empty(), "initial values are missing");
  }

  /// The value of a variable at a time, by its path.
  std::string at(const std::string& path, std::uint64_t time) const {
    for (const Variable& variable : variables) {
      if (variable.path != path) continue;
      std::string value;
      for (const auto& [t, v] : variable.values) {
        if (t <= time) value = v;
      }
      return value;
    }
    throw std::runtime_error("no variable " + path);
  }

 private:
  static void require(bool condition, const std::string& message) {
    if (!condition) throw std::runtime_error(message);
  }

  std::string next() {
    while (at_ < text_.size() && std::isspace(static_cast<unsigned char>(text_[at_]))) ++at_;
    const std::size_t start = at_;
    while (at_ < text_.size() && !std::isspace(static_cast<unsigned char>(text_[at_]))) ++at_;
    return text_.substr(start, at_ - start);
  }

  std::vector<std::string> until_end() {
    std::vector<std::string> words;
    for (std::string word; (word = next()) != "$end";) {
      require(!word.empty(), "$end is missing");
      words.push_back(word);
    }
    return words;
  }

  static std::string joined(const std::vector<std::string>& words) {
    std::string text;
    for (const std::string& word : words) text += (text.empty() ? "" : " ") + word;
    return text;
  }

  void declaration() {
    const std::string keyword = next();
    const std::vector<std::string> words = until_end();
    if (keyword == "$comment") comment = joined(words);
    else if (keyword == "$version") version = joined(words);
    else if (keyword == "$date") require(false, "a date makes equal runs differ");
    else if (keyword == "$timescale") read_timescale(joined(words));
    else if (keyword == "$scope") open_scope(words);
    else if (keyword == "$upscope") require(words.empty() && !scopes_.empty(), "bad $upscope"), scopes_.pop_back();
    else if (keyword == "$var") read_variable(words);
    else if (keyword == "$enddefinitions") header_done_ = true;
    else throw std::runtime_error("unknown command " + keyword);
  }

  void read_timescale(const std::string& scale) {
    timescale = scale;
    const std::size_t unit = scale.find_first_not_of("0123456789 ");
    require(unit != std::string::npos, "no unit");
    const std::string number = scale.substr(0, scale.find_first_not_of("0123456789"));
    require(number == "1" || number == "10" || number == "100", "bad time number");
    require(std::set<std::string>{"s", "ms", "us", "ns", "ps", "fs"}.count(scale.substr(unit)) == 1, "bad unit");
  }

  void open_scope(const std::vector<std::string>& words) {
    require(words.size() == 2, "$scope needs a type and a name");
    require(std::set<std::string>{"begin", "fork", "function", "module", "task"}.count(words[0]) == 1, "scope type");
    std::string path;
    for (const std::string& scope : scopes_) path += scope + ".";
    require(seen_scopes_.insert(path + words[1]).second, "a scope is opened twice");
    scopes_.push_back(words[1]);
  }

  void read_variable(const std::vector<std::string>& words) {
    require(words.size() == 4 || words.size() == 5, "$var needs type, size, code, reference");
    require(words[0] == "wire", "not a wire");
    require(!scopes_.empty(), "variable outside of a scope");
    Variable variable;
    variable.size = std::stoul(words[1]);
    for (const char c : words[2]) require(c >= '!' && c <= '~', "identifier code");
    for (const std::string& scope : scopes_) variable.path += scope + ".";
    variable.path += words[3] + (words.size() == 5 ? words[4] : "");
    require(codes_.emplace(words[2], variables.size()).second, "identifier code used twice");
    variables.push_back(variable);
  }

  void body(const std::string& word) {
    if (word == "$dumpvars") {
      require(time_seen_, "initial values before a time");
      in_dump_ = true;
    } else if (word == "$end") {
      require(in_dump_, "stray $end");
      in_dump_ = false;
    } else if (word[0] == '#') {
      require(!in_dump_, "time within $dumpvars");
      const std::uint64_t time = std::stoull(word.substr(1));
      require(!time_seen_ || time > last_time, "time stamps must ascend");
      if (!time_seen_) first_time = time;
      last_time = time;
      time_seen_ = true;
    } else if (word[0] == 'b' || word[0] == 'B') {
      change(next(), word.substr(1), true);
    } else {
      change(word.substr(1), word.substr(0, 1), false);
    }
  }

  void change(const std::string& code, std::string value, bool vector) {
    require(time_seen_ && codes_.count(code) == 1, "unknown identifier code " + code);
    require(!value.empty() && value.find_first_not_of("01xXzZ") == std::string::npos, "bad value " + value);
    Variable& variable = variables[codes_.at(code)];
    require(vector || variable.size == 1, "scalar value for a vector");
    require(value.size() <= variable.size, "value too long");
    // Left extension, clause 18.2.2: 0 and 1 fill with 0, x with x, z with z.
    const char fill = value[0] == '1' ? '0' : value[0];
    value.insert(0, variable.size - value.size(), fill);
    if (in_dump_) dumped_.insert(code);
    if (!in_dump_) require(variable.values.back().second != value, "a change that changes nothing");
    variable.values.emplace_back(last_time, value);
  }

  const std::string& text_;
  std::size_t at_ = 0;
  bool header_done_ = false, time_seen_ = false, in_dump_ = false;
  std::vector<std::string> scopes_;
  std::set<std::string> seen_scopes_, dumped_;
  std::map<std::string, std::size_t> codes_;
};

}  // namespace settle::test
