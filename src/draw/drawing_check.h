// Looks at a drawing as a reader does: follows its lines and says what is wrong with them.
#pragma once

#include <string>
#include <vector>

#include "draw/layout.h"

namespace settle::draw {

/// Faults of a drawing of `sheet`, one a line; empty when there is none:
/// - a wire that runs over a symbol or a text, or two texts over each other;
/// - wires of different nets that lie on each other or touch;
/// - nets that differ from those of the sheet when lines are followed from pin to pin. Lines are taken to be
///   connected where their ends meet, or where one ends on another one and there is a dot.
/// Cost: the square of the number of lines.
std::vector<std::string> faults_of(const Sheet& sheet, const Drawing& drawing);

}  // namespace settle::draw
