// The data files of this folder, NAME.json each, as they lie in the program: CMake writes a source for each.
#pragma once

#include <string_view>

namespace settle {

std::string_view catalogue_json();
std::string_view electrics_json();
std::string_view families_json();

}  // namespace settle
