// Chips of gates: packages, pins and what lies between them.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "settle/diagnostic.h"
#include "settle/gate_kind.h"
#include "settle/source.h"

namespace settle {

/// One gate of a package: pin numbers, from 1.
struct PartGate {
  std::vector<std::uint8_t> inputs;  ///< in the order of the netlist language (three-state: data, control)
  std::uint8_t output = 0;
};

/// A package of equal gates.
struct Part {
  /// How sure a pin-out is.
  enum class Confidence : std::uint8_t {
    sheet,   ///< read in the data sheet that `source` names
    memory,  ///< from memory, believed right
    doubt,   ///< from memory, and published tables disagree: look at the data sheet before use
    user,    ///< from the user's own file
  };
  enum class Output : std::uint8_t { push_pull, three_state, open_collector };
  std::string number;                     ///< without family: "7402", "4001"
  std::string title;                      ///< "four 2-input NOR gates"
  GateKind kind = GateKind::buf;          ///< of every gate in it
  Output output = Output::push_pull;      ///< open_collector needs a pull-up resistor
  std::uint8_t pin_count = 14;            ///< of the package; pins are numbered 1..pin_count
  std::uint8_t supply = 14, ground = 7;   ///< pins
  std::vector<std::uint8_t> unconnected;  ///< pins without a function
  std::vector<PartGate> gates;            ///< gate 1 is gates[0]: `{place=U1.2}` means gates[1]
  std::vector<std::string> families;      ///< made in these, as in "74HC02": "HC", "LS", ..., "4000B"
  std::string source;                     ///< where the pin-out comes from
  Confidence confidence = Confidence::user;
  std::string note;  ///< may be empty
  Place place;       ///< in the file that it was read from

  std::size_t fan_in() const { return gates.front().inputs.size(); }
  bool is_made_in(std::string_view family) const;
};

/// "sheet", "memory", "doubt", "user".
std::string_view name_of(Part::Confidence confidence);
/// "push-pull", "three-state", "open-collector".
std::string_view name_of(Part::Output output);

/// A part number taken apart.
struct PartNumber {
  std::string number;  ///< without family: "7402", "4001"
  std::string family;  ///< "HC"; "4000B" for the 4000 series; empty when none was written ("7402")
  bool operator==(const PartNumber&) const = default;
};

/// Takes apart "74HC02", "SN74LS00N", "7404", "4001", "CD4001BE": letters of the maker in front and of
/// the package behind are skipped, letter case is ignored. Nothing when it is no number of the 74 or
/// 4000 series.
std::optional<PartNumber> part_number_from(std::string_view text);

/// The other way: "74HC02" for 7402 in family HC, "4001B" for 4001 in family 4000B, "7402" without a family.
std::string part_number_text(std::string_view number, std::string_view family);

/// All known parts.
class Catalogue {
 public:
  /// In the order of the file; replaced parts keep their position.
  const std::vector<Part>& parts() const { return parts_; }
  /// By number without family ("7402"); nullptr when it is unknown. Good until the next add().
  const Part* find(std::string_view number) const {
    for (const Part& part : parts_) {
      if (part.number == number) return &part;
    }
    return nullptr;
  }
  /// Adds a part, or replaces the one with its number.
  void add(Part part);

 private:
  std::vector<Part> parts_;
};

/// The parts that come with settle: the file src/parts/catalogue.json.
Catalogue built_in_catalogue();

/// Reads a file of parts ("parts/1", docs/wire.md) into the catalogue: each adds itself or replaces the
/// one with its number. Each pin of a package must be used exactly once. All errors, with their places,
/// go to `diagnostics`; parts with errors are left out. False when there were any.
bool read_parts(const std::string& path, FileReader& files, Sources& sources, Diagnostics& diagnostics,
                Catalogue& catalogue);

}  // namespace settle
