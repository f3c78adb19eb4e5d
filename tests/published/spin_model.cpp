#include "published/spin_model.h"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>

namespace settle::testing {
namespace {

namespace fs = std::filesystem;

std::string numbered(const char* prefix, std::size_t number) { return prefix + std::to_string(number); }

std::string net_expression(const RaceStart& race, NetId net) {
  const Circuit& c = *race.circuit;
  if (c.is_gate_output(net)) return numbered("v", c.gate_of(net));
  return race.values[net] == Value::one ? "1" : "0";
}

// "(!(v1 || v2))": what a gate computes.
std::string gate_expression(const RaceStart& race, GateId gate) {
  const GateKind kind = race.circuit->kind(gate);
  const bool is_and = kind == GateKind::and_ || kind == GateKind::nand;
  const bool is_or = kind == GateKind::or_ || kind == GateKind::nor;
  const bool inverts =
      kind == GateKind::not_ || kind == GateKind::nand || kind == GateKind::nor || kind == GateKind::xnor;
  std::string text;
  for (const NetId net : race.circuit->fan_in(gate)) {
    if (!text.empty()) text += is_and ? " && " : is_or ? " || " : " + ";
    text += net_expression(race, net);
  }
  if (!is_and && !is_or) text = "(" + text + ") % 2 == 1";  // buf, not, xor, xnor
  return (inverts ? "(!(" : "((") + text + "))";
}

// The values at the start as one indivisible assignment.
std::string start_assignments(const RaceStart& race) {
  std::string text;
  for (GateId g = 0; g < race.circuit->gate_count(); ++g) {
    text += numbered("v", g) + " = " + to_char(race.values[race.circuit->output_of(g)]) + "; ";
  }
  return text;
}

// Runs a program in a folder with its output in a file there; false when it failed or is not there.
bool run_in(const fs::path& folder, const std::vector<std::string>& words, const std::string& output,
            Usage& usage) {
  std::vector<char*> arguments;
  std::vector<std::string> copies = words;
  for (std::string& word : copies) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  const std::string output_path = (folder / output).string();
  const std::string folder_path = folder.string();
  const pid_t child = fork();
  if (child < 0) return false;
  if (child == 0) {
    const int file = open(output_path.c_str(), O_CREAT | O_WRONLY | O_TRUNC, 0600);
    if (file < 0 || dup2(file, 1) < 0 || dup2(file, 2) < 0 || chdir(folder_path.c_str()) != 0) _exit(127);
    execvp(arguments[0], arguments.data());
    _exit(127);
  }
  int status = 0;
  rusage used{};
  if (wait4(child, &status, 0, &used) != child) return false;
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_usec) / 1e6;
  };
  usage.seconds = seconds(used.ru_utime) + seconds(used.ru_stime);
  usage.peak_bytes = static_cast<double>(used.ru_maxrss) * 1024;
  return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

std::string read_file(const fs::path& path) {
  std::ifstream file(path);
  return {std::istreambuf_iterator<char>(file), {}};
}

// The number that stands at the start of the line with `words` in it.
double figure_before(const std::string& output, const std::string& words) {
  const auto found = output.find(words);
  if (found == std::string::npos) return 0;
  const auto line = output.rfind('\n', found);
  return strtod(output.c_str() + (line == std::string::npos ? 0 : line + 1), nullptr);
}

void use_spin(const fs::path& folder, const std::string& model,
              const std::vector<std::string>& compiler_flags, const std::vector<std::string>& verifier_flags,
              SpinRun& run) {
  std::ofstream(folder / "race.pml") << model;
  if (!run_in(folder, {"spin", "-a", "race.pml"}, "spin.log", run.generate)) {
    run.error = "spin failed (is the package 'spin' installed?)\n" + read_file(folder / "spin.log");
    return;
  }
  std::vector<std::string> words{"gcc", "-w"};
  words.insert(words.end(), compiler_flags.begin(), compiler_flags.end());
  words.insert(words.end(), {"-o", "pan", "pan.c"});
  if (!run_in(folder, words, "gcc.log", run.compile)) {
    run.error =
        "gcc failed on the verifier (is the package 'gcc' installed?)\n" + read_file(folder / "gcc.log");
    return;
  }
  words = {(folder / "pan").string()};
  words.insert(words.end(), verifier_flags.begin(), verifier_flags.end());
  const bool ran = run_in(folder, words, "pan.log", run.verify);
  run.output = read_file(folder / "pan.log");
  if (!ran || run.output.find("errors: 0") == std::string::npos ||
      run.output.find("Warning: Search not completed") != std::string::npos ||
      run.output.find("max search depth too small") != std::string::npos) {
    run.error = "the verifier did not get through\n" + run.output;
  }
  run.states = static_cast<std::uint64_t>(figure_before(run.output, "states, stored"));
  run.state_bytes = figure_before(run.output, "actual memory usage for states") * 1024 * 1024;
}

}  // namespace

std::string promela_of_races(std::span<const RaceStart> races) {
  std::uint32_t most_gates = 0;
  for (const RaceStart& race : races) most_gates = std::max(most_gates, race.circuit->gate_count());
  std::string text = "short which;\n";
  for (std::uint32_t g = 0; g < most_gates; ++g) {
    text += "bit " + numbered("v", g) + ", " + numbered("n", g) + ";\n";
  }
  text += "active proctype race() {\n  if\n";
  for (std::size_t k = 0; k < races.size(); ++k) {
    const RaceStart& race = races[k];
    const std::uint32_t gates = race.circuit->gate_count();
    std::string excited, next, choices, forget, format, values;
    for (GateId g = 0; g < gates; ++g) {
      const std::string v = numbered("v", g), n = numbered("n", g);
      const std::string function = gate_expression(race, g);
      excited += (g == 0 ? "" : " || ") + v + " != " + function;
      next += n + " = " + function + "; ";
      choices += "      if :: " + v + " != " + n + " -> " + v + " = " + n + " :: true fi;\n";
      forget += (g == 0 ? "" : "; ") + n + " = 0";
      format += "%d";
      values += ", now." + v;
    }
    text += "  :: d_step { which = " + std::to_string(k) + "; " + start_assignments(race) + "};\n    do\n";
    text += "    :: d_step { !(" + excited + ") ->\n      c_code { printf(\"stable %d " + format +
            "\\n\", now.which" + values + "); } }; break\n";
    // The new values are forgotten, so that they tell no states apart.
    text += "    :: atomic { (" + excited + ") ->\n      d_step { " + next + "};\n" + choices +
            "      d_step { " + forget + " } }\n    od\n";
  }
  return text + "  fi\n}\n";
}

std::string promela_of_single_changes(const RaceStart& race) {
  std::string text;
  const std::uint32_t gates = race.circuit->gate_count();
  for (GateId g = 0; g < gates; ++g) text += "bit " + numbered("v", g) + ";\n";
  text += "active proctype race() {\n  d_step { " + start_assignments(race) + "};\n  do\n";
  for (GateId g = 0; g < gates; ++g) {
    const std::string v = numbered("v", g);
    text += "  :: d_step { " + v + " != " + gate_expression(race, g) + " -> " + v + " = !" + v + " }\n";
  }
  return text + "  od\n}\n";
}

std::vector<std::string> SpinRun::stable(std::size_t race) const {
  std::vector<std::string> found;
  std::istringstream lines(output);
  for (std::string line; std::getline(lines, line);) {
    std::istringstream words(line);
    std::string word, values;
    std::size_t number = 0;
    if (words >> word >> number >> values && word == "stable" && number == race) found.push_back(values);
  }
  std::sort(found.begin(), found.end());
  found.erase(std::unique(found.begin(), found.end()), found.end());
  return found;
}

SpinRun run_spin(const std::string& model, const std::vector<std::string>& compiler_flags,
                 const std::vector<std::string>& verifier_flags) {
  SpinRun run;
  std::error_code error;
  std::string folder = (fs::temp_directory_path(error) / "settle_spin_XXXXXX").string();
  if (error || mkdtemp(folder.data()) == nullptr) {
    run.error = "there is no temporary folder to work in";
    return run;
  }
  use_spin(folder, model, compiler_flags, verifier_flags, run);
  fs::remove_all(folder, error);
  return run;
}

}  // namespace settle::testing
