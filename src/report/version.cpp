#include "settle/report.h"

namespace settle {

std::string_view version() { return SETTLE_VERSION; }

}  // namespace settle
