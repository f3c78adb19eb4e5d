#include "formats/foreign_names.h"

#include "settle/netlist.h"
#include "text/characters.h"

namespace settle {

bool is_own_name(std::string_view name) {
  if (name.empty() || name == "_" || is_digit(name.front()) || is_reserved(name)) return false;
  for (const char c : name) {
    if (!continues_name(c)) return false;
  }
  return true;
}

std::string own_form_of(std::string_view name) {
  std::string own;
  for (const char c : name) {
    if (continues_name(c)) own += c;
    else if (!own.empty() && own.back() != '_') own += '_';
  }
  while (own.size() > 1 && own.back() == '_' && name.back() != '_') own.pop_back();
  if (own.empty() || own == "_" || is_digit(own.front())) own.insert(0, "n");
  if (is_reserved(own)) own += '_';
  return own;
}

std::string ForeignNames::free_name(std::string wanted, const std::unordered_set<std::string>& taken) {
  if (!taken.contains(wanted)) return wanted;
  for (unsigned i = 2;; ++i) {
    std::string name = wanted + "_" + std::to_string(i);
    if (!taken.contains(name)) return name;
  }
}

std::vector<Symbol> ForeignNames::translate(SymbolTable& symbols) const {
  std::vector<Symbol> own(names_.size(), no_symbol);
  std::unordered_set<std::string> taken;
  bool changes = false;
  for (std::uint32_t i = 0; i < names_.size(); ++i) changes = changes || !is_own_name(names_.text(i));
  for (std::uint32_t i = 0; i < names_.size(); ++i) {
    if (!is_own_name(names_.text(i))) continue;
    own[i] = symbols.intern(names_.text(i));
    if (changes) taken.emplace(names_.text(i));
  }
  for (std::uint32_t i = 0; changes && i < names_.size(); ++i) {
    if (own[i] != no_symbol) continue;
    const std::string name = free_name(own_form_of(names_.text(i)), taken);
    own[i] = symbols.intern(name);
    taken.insert(name);
  }
  return own;
}

}  // namespace settle
