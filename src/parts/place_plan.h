// The question to place_program.h: which gates are there, and what do they ask for?
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "parts/place_program.h"
#include "settle/wiring.h"

namespace settle {

/// Counts the gates of a circuit by kind, with their wishes. Fills parts, nets, inputs and outputs of a
/// wiring.
class PlacePlan {
 public:
  PlacePlan(const Circuit& circuit, const std::vector<GateWish>& wishes, const Catalogue& catalogue,
            Wiring& wiring, Diagnostics& diagnostics)
      : c_(circuit), wishes_(wishes), catalogue_(catalogue), w_(wiring), diagnostics_(diagnostics) {}

  /// False after errors.
  bool make();

  struct Named {
    std::string name;
    std::map<std::uint32_t, GateId> gates;  ///< by position in the package, from 0
  };
  const PlaceProblem& problem() const { return problem_; }
  /// Of each kind of package: Wiring::parts has the part.
  const std::string& family(std::uint32_t package) const { return families_[package]; }
  /// In the order of PlaceProblem::named.
  const std::vector<Named>& named() const { return named_; }
  bool is_named(const std::string& chip) const { return named_number_.contains(chip); }
  /// Gates free to be placed, those in loops first.
  const std::map<PlaceClass, std::vector<GateId>>& members() const { return members_; }
  /// The kind of package that a gate asks for without a place, or no_id.
  std::uint32_t asked_package(GateId gate) const {
    return named_of_[gate] == no_id ? asked_package_[gate] : no_id;
  }
  bool is_bipolar() const { return bipolar_; }

  GateNeed need_of(GateId gate) const;
  PlaceClass class_of(GateId gate) const;
  std::vector<WireNetId> nets_into(GateId gate) const;
  WireNetId net_at(NetId net) const { return net_of_[net]; }
  /// The way in which one gate of this kind of package does what a gate needs; nothing: it cannot.
  std::optional<Way> single_way(GateId gate, std::uint32_t package) const;

 private:
  bool choose_packages();
  std::uint32_t add_package(const Part& part, const std::string& family, bool is_general);
  void name_nets();
  WireNetId name_net(NetId net);
  void read_wishes();
  std::uint32_t package_named(GateId gate, std::string_view text);
  void read_place(GateId gate, std::string_view text);
  void count_gates();
  void report_misfit(GateId gate, std::uint32_t package);
  void choose_named_parts();
  std::string part_of(std::uint32_t package) const;
  void report_unfit_chip(const Named& chip, std::uint32_t asked);
  void report_impossible();

  const Circuit& c_;
  const std::vector<GateWish>& wishes_;
  const Catalogue& catalogue_;
  Wiring& w_;
  Diagnostics& diagnostics_;
  bool bipolar_ = false;
  PlaceProblem problem_;
  std::vector<std::string> families_;  // by kind of package
  std::vector<WireNetId> net_of_;      // by net of the circuit
  std::map<std::string, std::uint32_t> package_of_text_;
  std::vector<std::uint32_t> asked_package_, named_of_;  // by gate
  std::map<std::string, std::uint32_t> named_number_;
  std::vector<Named> named_;
  std::map<PlaceClass, std::vector<GateId>> members_;
};

}  // namespace settle
