// The logic family that --family, --families and --delays ask for.
#pragma once

#include <optional>

#include "cli/common.h"
#include "settle/family.h"

namespace settle::cli {

/// The families and the delays from them, where the options ask for such. Stays where it is: the delays refer to
/// the library.
struct ChosenFamily {
  FamilyLibrary library;
  std::optional<FamilyDelays> delays;
};
/// False after an error, which is told.
bool choose_family(const CommonOptions& options, Sources& sources, ChosenFamily& chosen);

}  // namespace settle::cli
