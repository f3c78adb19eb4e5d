// Delays from parts: what the makers' sheets say of the gates of a logic family.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/elaborate.h"
#include "settle/gate_kind.h"

namespace settle {

/// One figure of a data sheet, in picoseconds.
struct Figure {
  static constexpr std::uint32_t none = 0xffffffffu;
  std::uint64_t ps = 0;
  std::uint32_t source = none;  ///< index into FamilyLibrary::sources; none: by rule
  bool is_by_rule() const { return source == none; }
};

/// Propagation delay for one direction of the output.
///
/// Where a sheet gives no typical figure it is half of the maximum, where it gives no minimum a
/// quarter of the typical one, both rounded down: common practice, no source.
struct EdgeFigures {
  Figure min, typ, max;
};

/// One kind of gate of a family. Three-state gates: from data to output.
struct GateFigures {
  std::string part;    ///< "74HC02"
  std::string number;  ///< "7402": the same function in every family
  GateKind kind = GateKind::buf;
  std::uint32_t inputs = 1;
  EdgeFigures rise, fall;  ///< tPLH, tPHL
  std::string remark;
  GateDelay delay() const;  ///< in picoseconds
};

struct FigureSource {
  std::string id, title;
  std::string confidence;  ///< "solid": read in the sheet named; "memory": from memory
  std::string conditions;  ///< supply, load, temperature
};

struct Family {
  std::string name;  ///< "HC"
  std::string title;
  std::string supply;
  std::vector<std::string> aliases;
  std::vector<GateFigures> gates;
  const GateFigures* find(std::string_view number) const;
  /// The figures for a gate: of the same kind with as many inputs or the next more, else of the
  /// nearest kind, which the caller should say. `gates` must not be empty.
  const GateFigures& nearest(GateKind kind, std::uint32_t inputs) const;
};

/// Families with their sources.
struct FamilyLibrary {
  std::vector<FigureSource> sources;
  std::vector<Family> families;

  /// What comes with the program.
  static FamilyLibrary shipped();
  /// Adds the families of a text (docs/families.md says its form); one of a name that is there already
  /// replaces it. False after errors, which tell their places; the library is then as before.
  bool add(const std::string& path, FileReader& files, Sources& texts, Diagnostics& diagnostics);

  /// By name or alias, letter case ignored; nullptr when there is none.
  const Family* find(std::string_view name) const;
  std::string names() const;  ///< "LS, HC, HCT, AC and 4000B"
  /// A gate with this number of any family; nullptr when none has figures for it.
  const GateFigures* gate_of(std::string_view number) const;
};

/// Can a gate of this kind be made from one gate of such a part, spare inputs tied?
bool fits(const GateFigures& part, GateKind kind, std::uint32_t inputs);

/// Delays of the gates that state none: of the part that a gate names, else of a family.
/// For ElaborateOptions::delay_source. The library must outlive it.
class FamilyDelays final : public DelaySource {
 public:
  /// `family` is for gates that name no part. With `only_with_parts` a netlist without any part keeps
  /// its unit delays.
  FamilyDelays(const FamilyLibrary& library, const Family& family, bool only_with_parts = false)
      : library_(library), family_(family), only_with_parts_(only_with_parts) {}
  bool needs_parts() const override { return only_with_parts_; }
  std::string misfit(GateKind kind, std::uint32_t inputs, std::string_view part) const override;
  Answer delay_of(GateKind kind, std::uint32_t inputs, std::string_view part) const override;

 private:
  /// The family that a part names, the chosen one for a bare number; nullptr with an error.
  const Family* family_of(std::string_view part, std::string& number, std::string& error) const;

  const FamilyLibrary& library_;
  const Family& family_;
  bool only_with_parts_;
};

}  // namespace settle
