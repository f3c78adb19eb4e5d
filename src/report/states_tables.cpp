// Stable states as a table with a column a net, or with a column a group of nets where that is too wide;
// flow table with a column an input vector, in as many blocks as the width needs.
#include <algorithm>

#include <fmt/format.h>

#include "report/finding_list.h"
#include "report/ink.h"
#include "report/state_names.h"
#include "report/states_parts.h"

namespace settle::report {
namespace {

constexpr std::size_t most_state_lines = 24;
constexpr std::size_t most_compact_inner = 24;
constexpr std::size_t most_flow_rows = 16;
constexpr std::size_t most_flow_columns = 32;

Ink ink_of(char bit) { return bit == '1' ? Ink::high : bit == '0' ? Ink::low : bit == 'z' ? Ink::loose : Ink::unknown; }

std::string painted_bits(std::string_view bits, bool color) {
  std::string out;
  for (const char c : bits) out += painted(std::string_view(&c, 1), ink_of(c), color);
  return out;
}

std::string centred(std::string_view text, std::size_t columns, std::string_view painted_text) {
  const std::size_t room = columns - std::min(columns, columns_of(text));
  return std::string(room / 2, ' ') + std::string(painted_text) + std::string(room - room / 2, ' ');
}

std::string trimmed(std::string line) {
  while (!line.empty() && line.back() == ' ') line.pop_back();
  return line + '\n';
}

struct Group {
  std::string title;
  std::vector<NetId> nets;
};

class StableTable {
 public:
  explicit StableTable(const StatesPage& page) : page_(page), space_(page.space()), rows_(rows_of_states(space_)) {
    groups_.push_back({"inputs", input_nets(page.circuit)});
    groups_.push_back({"outputs", shown_outputs(page.circuit)});
    Group inner{"inner nets", {}};
    for (const NetId net : node_nets(page.circuit)) {
      const auto& outputs = groups_[1].nets;
      if (std::find(outputs.begin(), outputs.end(), net) == outputs.end()) inner.nets.push_back(net);
    }
    groups_.push_back(std::move(inner));
    std::erase_if(groups_, [](const Group& g) { return g.nets.empty(); });
    has_inputs_ = space_.input_bits != 0;
    named_ = width(true) <= page.width;
    while (!named_ && (width(false) > page.width || (!page.all && groups_.size() == 3 && groups_.back().nets.size() > most_compact_inner)) &&
           groups_.size() > 1u + has_inputs_) {
      left_out_ += groups_.back().nets.size();
      groups_.pop_back();
    }
    shows_alike_ = some_alike();
  }

  std::string text() {
    std::string out;
    if (!named_) out += legend();
    out += head();
    std::size_t lines = 0;
    std::uint64_t hidden = 0;
    for (const VectorIndex vector : space_.vectors) {
      const auto [first, last] = space_.states_with(vector);
      if (first == last && std::binary_search(space_.never_stable.begin(), space_.never_stable.end(), vector)) {
        if (page_.all || lines++ < most_state_lines) out += never_line(vector);
      }
      for (std::uint32_t s = first; s < last; ++s) {
        if (page_.all || lines++ < most_state_lines) {
          out += line(s, s == first);
        } else {
          ++hidden;
        }
      }
    }
    if (hidden != 0) out += fmt::format("  ... and {}; --all shows them\n", counted(hidden, "more state"));
    if (left_out_ != 0) out += fmt::format("  {} left out; {} shows them\n", counted(left_out_, "inner net"), page_.all ? "a larger --width" : "--all");
    return out;
  }

 private:
  std::string_view bar() const { return page_.style.ascii ? " | " : " │ "; }
  std::size_t column_width(NetId net) const { return columns_of(page_.circuit.net_name(net)); }
  std::size_t group_width(const Group& group, bool named) const {
    if (!named) return std::max(group.nets.size(), group.title.size());
    std::size_t sum = group.nets.size() - 1;
    for (const NetId net : group.nets) sum += column_width(net);
    return sum;
  }
  std::size_t label_width() const { return rows_.empty() ? 0 : letters(page_.space().flow.rows.size() - 1).size() + 1; }
  std::size_t width(bool named) const {
    std::size_t sum = 2 + label_width() + 3 * (groups_.size() - 1);
    for (const Group& group : groups_) sum += group_width(group, named);
    return sum;
  }

  bool some_alike() const {
    if (space_.transitions.empty()) return false;
    for (std::size_t s = 1; s < space_.stable.size(); ++s) {
      for (std::size_t t = s; t-- > 0 && space_.stable[t].inputs == space_.stable[s].inputs;) {
        if (space_.stable[t].alike == space_.stable[s].alike) return true;
        if (s - t > 64) break;
      }
    }
    return false;
  }

  std::string legend() const {
    std::string out;
    for (const Group& group : groups_) {
      const std::string names = short_names(page_.circuit, group.nets);
      bool first = true;
      const std::string head = fmt::format("  {}: ", group.title);
      for (const std::string& piece : wrapped(names, page_.width - head.size(), page_.width - head.size())) {
        out += (first ? head : std::string(head.size(), ' ')) + piece + '\n';
        first = false;
      }
    }
    return out;
  }

  std::string head() const {
    std::string line(2 + label_width(), ' ');
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      if (g != 0) line += painted(bar(), Ink::faint, page_.style.color);
      if (!named_) {
        line += centred(groups_[g].title, group_width(groups_[g], false), painted(groups_[g].title, Ink::strong, page_.style.color));
        continue;
      }
      std::string names;
      for (const NetId net : groups_[g].nets) names += (names.empty() ? "" : " ") + page_.circuit.net_name(net);
      line += painted(names, Ink::strong, page_.style.color);
    }
    return trimmed(line);
  }

  std::string cells(const Group& group, const std::string& bits) const {
    if (!named_) return centred(bits, group_width(group, false), painted_bits(bits, page_.style.color));
    std::string out;
    for (std::size_t i = 0; i < group.nets.size(); ++i) {
      const std::string_view bit(&bits[i], 1);
      if (i != 0) out += ' ';
      out += centred(bit, column_width(group.nets[i]), painted_bits(bit, page_.style.color));
    }
    return out;
  }

  std::string line(std::uint32_t s, bool with_inputs) const {
    std::string out = "  ";
    if (!rows_.empty()) out += fmt::format("{:<{}}", letters(rows_[s]), label_width());
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      if (g != 0) out += painted(bar(), Ink::faint, page_.style.color);
      if (g == 0 && has_inputs_ && !with_inputs) {
        out += std::string(group_width(groups_[0], named_), ' ');
      } else {
        out += cells(groups_[g], bits_of(space_, page_.circuit, s, groups_[g].nets));
      }
    }
    if (shows_alike_) out += alike_note(s);
    return trimmed(out);
  }

  std::string alike_note(std::uint32_t s) const {
    const auto [first, last] = space_.states_with(space_.stable[s].inputs);
    for (std::uint32_t t = first; t < s; ++t) {
      if (space_.stable[t].alike != space_.stable[s].alike) continue;
      return fmt::format("  = {} above", rows_.empty() ? counted(s - t, "line") : letters(rows_[t]));
    }
    return {};
  }

  std::string never_line(VectorIndex vector) const {
    std::string out(2 + label_width(), ' ');
    if (has_inputs_) {
      out += cells(groups_[0], vector_text(vector, space_.input_bits));
      out += painted(bar(), Ink::faint, page_.style.color);
    }
    out += painted(space_.has_unknown_level(vector) ? "a level is neither 0 nor 1" : "no stable state", Ink::bad, page_.style.color);
    return trimmed(out);
  }

  const StatesPage& page_;
  const StateSpace& space_;
  std::vector<std::uint32_t> rows_;
  std::vector<Group> groups_;
  std::size_t left_out_ = 0;
  bool named_ = true;         // a column a net
  bool has_inputs_ = false;
  bool shows_alike_ = false;
};

class FlowText {
 public:
  explicit FlowText(const StatesPage& page) : page_(page), flow_(page.space().flow) {}

  std::string text() {
    const std::size_t rows = page_.all ? flow_.rows.size() : std::min(flow_.rows.size(), most_flow_rows);
    const std::size_t columns = page_.all ? flow_.columns.size() : std::min(flow_.columns.size(), most_flow_columns);
    std::string out;
    const std::string names = input_names();
    std::size_t corner = std::max<std::size_t>(letters(flow_.rows.size() - 1).size(), columns_of(names));
    if (corner > 24) {
      for (const std::string& piece : wrapped("columns: " + names, page_.width - 2, page_.width - 2)) out += "  " + piece + '\n';
      corner = letters(flow_.rows.size() - 1).size();
    }
    for (std::size_t from = 0; from < columns;) {
      std::size_t to = from, used = 2 + corner;
      std::vector<std::size_t> widths;
      while (to < columns) {
        std::size_t width = vector_text(flow_.columns[to], page_.space().input_bits).size();
        for (std::size_t r = 0; r < rows; ++r) width = std::max(width, entry(flow_.rows[r][to]).size());
        if (to != from && used + 2 + width > page_.width) break;
        used += 2 + width;
        widths.push_back(width);
        ++to;
      }
      if (from != 0) out += '\n';
      out += block(from, widths, rows, corner, corner >= columns_of(names) ? names : "");
      from = to;
    }
    if (rows < flow_.rows.size()) out += fmt::format("  ... and {}; --all shows them\n", counted(flow_.rows.size() - rows, "more row"));
    if (columns < flow_.columns.size()) {
      out += fmt::format("  ... and {}; --all shows them\n", counted(flow_.columns.size() - columns, "more column"));
    }
    return out;
  }

 private:
  std::string input_names() const { return short_names(page_.circuit, input_nets(page_.circuit)); }

  static std::string entry(const FlowTable::Entry& e) {
    if (!e.specified) return "-";
    std::string text;
    for (std::size_t i = 0; i < e.rows.size() && i < 4; ++i) text += (i == 0 ? "" : "/") + letters(e.rows[i]);
    if (e.rows.size() > 4) text += fmt::format("/+{}", e.rows.size() - 4);
    if (e.may_cycle) text += text.empty() ? "~" : "/~";
    return e.stable ? "(" + text + ")" : text;
  }

  std::string block(std::size_t from, const std::vector<std::size_t>& widths, std::size_t rows, std::size_t corner,
                    const std::string& names) const {
    const bool color = page_.style.color;
    std::string line = "  " + painted(names, Ink::strong, color) + std::string(corner - columns_of(names), ' ');
    for (std::size_t c = 0; c < widths.size(); ++c) {
      const std::string bits = vector_text(flow_.columns[from + c], page_.space().input_bits);
      line += "  " + centred(bits, widths[c], painted_bits(bits, color));
    }
    std::string out = trimmed(line);
    for (std::size_t r = 0; r < rows; ++r) {
      const std::string name = letters(r);
      line = "  " + std::string(corner - name.size(), ' ') + painted(name, Ink::strong, color);
      for (std::size_t c = 0; c < widths.size(); ++c) {
        const FlowTable::Entry& e = flow_.rows[r][from + c];
        const std::string text = entry(e);
        const bool open = e.may_cycle || e.rows.size() > 1;
        line += "  " + centred(text, widths[c], painted(text, open ? Ink::unknown : e.stable ? Ink::strong : Ink::plain, color));
      }
      out += trimmed(line);
    }
    return out;
  }

  const StatesPage& page_;
  const FlowTable& flow_;
};

}  // namespace

std::vector<std::uint32_t> rows_of_states(const StateSpace& space) {
  if (space.flow.columns.size() < 2) return {};
  std::vector<std::uint32_t> rows(space.stable.size(), 0);
  for (std::uint32_t r = 0; r < space.flow.rows.size(); ++r) {
    for (const FlowTable::Entry& entry : space.flow.rows[r]) {
      if (entry.stable) rows[entry.state] = r;
    }
  }
  return rows;
}

std::string stable_table(const StatesPage& page) {
  if (page.space().stable.empty() && page.space().never_stable.empty()) return {};
  return StableTable(page).text();
}

std::string flow_table(const StatesPage& page) { return page.space().flow.rows.empty() ? "" : FlowText(page).text(); }

}  // namespace settle::report
