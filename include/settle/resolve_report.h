// `settle resolve` in its forms.
#pragma once

#include <optional>
#include <string>

#include "settle/metastability.h"
#include "settle/report.h"

namespace settle {

/// An estimate with what it was made from.
struct ResolveEstimate {
  ResolveInput input;
  std::string part;              ///< from the table, or empty
  std::optional<double> time;    ///< given
  std::optional<double> wanted;  ///< mean time given, seconds
};
/// Figures, result and assumptions.
std::string resolve_text(const ResolveEstimate& estimate);
/// Document resolve/1.
std::string resolve_json(const ResolveEstimate& estimate);

}  // namespace settle
