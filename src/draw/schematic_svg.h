// A laid out sheet as SVG.
#pragma once

#include <string>

#include "draw/layout.h"
#include "settle/schematic.h"

namespace settle::draw {

std::string schematic_svg(const Sheet& sheet, const Drawing& drawing, const SchematicOptions& options);

}  // namespace settle::draw
