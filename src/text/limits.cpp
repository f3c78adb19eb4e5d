#include "settle/limits.h"

#include <fmt/format.h>

namespace settle {

std::string limit_hint(LimitKind kind, std::uint64_t now) {
  const LimitInfo& info = info_of(kind);
  if (now >= info.most) return fmt::format("{} stands at {}, its largest value", info.option, now);
  return fmt::format("{} allows more (now {})", info.option, now);
}

}  // namespace settle
