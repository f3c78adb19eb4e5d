// What a statement was probably meant to be whose kind is no gate and no cell.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "settle/netlist.h"

namespace settle {

class KindNames {
 public:
  explicit KindNames(const Netlist& netlist);

  /// A gate or cell: a word of the trade for a gate, as `inv` is, or a likely misspelling. Empty: none.
  std::string_view nearest(std::string_view kind) const;

  /// A hint for the message about it; never empty.
  std::string hint(std::string_view kind) const;

 private:
  std::vector<std::string_view> names_;  // cells, then gates
};

}  // namespace settle
