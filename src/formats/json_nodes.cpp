// The library parses; its iterator tells where it stands, which it does not tell itself.
#include "formats/json_nodes.h"

#include <algorithm>
#include <iterator>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace settle {
namespace {

/// Counts what the library has taken.
class CountingIterator {
 public:
  using iterator_category = std::input_iterator_tag;
  using value_type = char;
  using difference_type = std::ptrdiff_t;
  using pointer = const char*;
  using reference = const char&;
  CountingIterator(const char* at, const char** shared) : at_(at), shared_(shared) {}
  reference operator*() const { return *at_; }
  CountingIterator& operator++() {
    ++at_;
    if (shared_ != nullptr) *shared_ = at_;
    return *this;
  }
  CountingIterator operator++(int) {
    CountingIterator old = *this;
    ++*this;
    return old;
  }
  bool operator==(const CountingIterator& other) const { return at_ == other.at_; }
  bool operator!=(const CountingIterator& other) const { return at_ != other.at_; }

 private:
  const char* at_;
  const char** shared_;
};

class NodeMaker final : public nlohmann::json_sax<nlohmann::json> {
 public:
  NodeMaker(std::string_view text, const char** at, std::uint32_t file, Diagnostics& diagnostics)
      : text_(text), at_(at), file_(file), diagnostics_(diagnostics) {}

  std::vector<JsonNode> take() { return std::move(nodes_); }

  bool null() override { return value("null"); }
  bool boolean(bool v) override { return value(v ? "true" : "false"); }
  bool number_integer(number_integer_t v) override { return value(std::to_string(v)); }
  bool number_unsigned(number_unsigned_t v) override { return value(std::to_string(v)); }
  bool number_float(number_float_t, const string_t& written) override { return value(written); }
  bool binary(binary_t&) override { return value({}); }
  bool string(string_t& v) override {
    JsonNode& node = add(JsonNode::Kind::string);
    // The library has just taken the closing quote.
    const auto end = position() - 1;
    node.is_plain = end >= v.size() && text_.substr(end - v.size(), v.size()) == v;
    node.text_offset = static_cast<std::uint32_t>(node.is_plain ? end - v.size() : end);
    node.offset = node.is_plain && node.text_offset > 0 ? node.text_offset - 1 : node.text_offset;
    node.text = std::move(v);
    return true;
  }
  bool start_object(std::size_t) override { return open(JsonNode::Kind::object); }
  bool start_array(std::size_t) override { return open(JsonNode::Kind::array); }
  bool end_object() override { return close(); }
  bool end_array() override { return close(); }
  bool key(string_t& v) override {
    key_ = std::move(v);
    return true;
  }
  bool parse_error(std::size_t, const std::string&, const nlohmann::detail::exception& error) override {
    const bool ends = std::string_view(error.what()).find("end of input") != std::string_view::npos;
    const auto place = position() == 0 || ends ? position() : position() - 1;
    diagnostics_.error({file_, static_cast<std::uint32_t>(place)},
                       ends ? "the JSON text ends too early" : "this is no JSON from here on",
                       "RFC 8259 says what JSON is; strings stand in double quotes, no comma follows the last item");
    return false;
  }

 private:
  std::size_t position() const { return static_cast<std::size_t>(*at_ - text_.data()); }
  JsonNode& add(JsonNode::Kind kind) {
    JsonNode node;
    node.kind = kind;
    node.offset = static_cast<std::uint32_t>(position() == 0 ? 0 : position() - 1);
    node.end = static_cast<std::uint32_t>(nodes_.size()) + 1;
    node.key = std::move(key_);
    key_.clear();
    nodes_.push_back(std::move(node));
    return nodes_.back();
  }
  bool value(std::string text) {
    JsonNode& node = add(JsonNode::Kind::other);
    // Behind a number the library has taken one character more, unless the text ends there.
    for (const std::size_t more : {1u, 0u}) {
      const auto start = position() - std::min(position(), text.size() + more);
      if (text_.substr(start, text.size()) != text) continue;
      node.offset = static_cast<std::uint32_t>(start);
      break;
    }
    node.text = std::move(text);
    return true;
  }
  bool open(JsonNode::Kind kind) {
    add(kind);
    open_.push_back(static_cast<std::uint32_t>(nodes_.size()) - 1);
    return true;
  }
  bool close() {
    nodes_[open_.back()].end = static_cast<std::uint32_t>(nodes_.size());
    open_.pop_back();
    return true;
  }

  std::string_view text_;
  const char** at_;
  std::uint32_t file_;
  Diagnostics& diagnostics_;
  std::vector<JsonNode> nodes_;
  std::vector<std::uint32_t> open_;
  std::string key_;
};

}  // namespace

std::vector<JsonNode> read_json_nodes(std::uint32_t file, const Sources& sources, Diagnostics& diagnostics) {
  const std::string_view text = sources.text(file);
  const char* at = text.data();
  NodeMaker maker(text, &at, file, diagnostics);
  const bool good = nlohmann::json::sax_parse(CountingIterator(text.data(), &at),
                                              CountingIterator(text.data() + text.size(), nullptr), &maker);
  return good ? maker.take() : std::vector<JsonNode>{};
}

}  // namespace settle
