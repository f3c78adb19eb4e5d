// bench_check: how long does `settle check` take for a folder of cells with their stimuli?
//
// Writes a folder of seeded cells, a netlist with two stimuli each: set-reset memories, registers of
// transparent latches and of edge-triggered cells, of 2 to 16 bits, every tenth with a fault that a stimulus
// finds. Checks it with one thread and with two, with and without the demands, and compares the documents.
// Wall time, the best of three. `--cells N` (500), `--keep FOLDER` leaves the folder there, `--quick`
// takes 20 cells only.
#include <fmt/format.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "settle/check.h"
#include "settle/check_report.h"

namespace {

using namespace settle;
namespace fs = std::filesystem;

struct CellTexts {
  std::string netlist;
  std::vector<std::string> stimuli;
};

std::string memory(unsigned bits, bool faulty) {
  std::string text =
      fmt::format("cell memory\n  in  set[{0}:0] reset[{0}:0]\n  out q[{0}:0] q_n[{0}:0]\n", bits - 1);
  text += fmt::format("  nor a[{0}:0]: reset[{0}:0] q_n[{0}:0] -> q[{0}:0]\n", bits - 1);
  text += fmt::format("  {1} b[{0}:0]: set[{0}:0] q[{0}:0] -> q_n[{0}:0]\n", bits - 1, faulty ? "or" : "nor");
  return text + fmt::format("  require stores {}\nend\n", faulty ? 0 : bits);
}

std::string latches(unsigned bits, bool faulty) {
  std::string text = fmt::format(
      "cell latch\n  in  d g\n  out q q_n\n  not i: d -> d_n\n  nand s: d g -> s_n\n  nand r: {} g -> r_n\n"
      "  nand a: s_n q_n -> q\n  nand b: r_n q -> q_n\nend\n",
      faulty ? "d" : "d_n");
  text += fmt::format(
      "cell register\n  in  d[{0}:0] g\n  out q[{0}:0]\n  latch bit[{0}:0]: d[{0}:0] g -> q[{0}:0] _\n",
      bits - 1);
  return text + fmt::format("  require settles\n  require stores {}\nend\n", bits);
}

std::string flip_flops(unsigned bits, bool faulty) {
  std::string text = fmt::format(
      "cell flip_flop\n  in  d c\n  out q q_n\n  nand a: e_n s_n -> s\n  nand b: s c -> s_n\n  nand e: s_n c "
      "e_n -> r_n\n"
      "  nand f: r_n d -> e_n\n  nand g: s_n q_n -> q\n  nand h: {} q -> q_n\nend\n",
      faulty ? "s" : "r_n");
  text += fmt::format(
      "cell register\n  in  d[{0}:0] c\n  out q[{0}:0]\n  flip_flop bit[{0}:0]: d[{0}:0] c -> q[{0}:0] _\n",
      bits - 1);
  return text + fmt::format("  require stores {}\nend\n", bits);
}

CellTexts make_cell(std::size_t number, std::mt19937& random) {
  const unsigned bits = 2 + static_cast<unsigned>(random() % 15);
  const bool faulty = number % 10 == 7;
  const auto value = [&] { return random() & ((1u << bits) - 1); };
  CellTexts cell;
  cell.stimuli.resize(2);
  switch (number % 3) {
    case 0:
      cell.netlist = memory(bits, faulty);
      for (std::string& stimulus : cell.stimuli) {
        stimulus = "set set=0 reset=0\nwait 2\n";
        for (int round = 0; round < 20; ++round) {
          const auto v = value();
          const auto other = ~v & ((1u << bits) - 1);
          stimulus += fmt::format("pulse set={0} reset={1} for 6\nwait 6\nexpect q={0} q_n={1}\n", v, other);
        }
      }
      break;
    default:
      cell.netlist = number % 3 == 1 ? latches(bits, faulty) : flip_flops(bits, faulty);
      for (std::string& stimulus : cell.stimuli) {
        const std::string_view clock = number % 3 == 1 ? "g" : "c";
        stimulus = fmt::format("set d=0 {}=0\nsettle\n", clock);
        for (int round = 0; round < 20; ++round) {
          const auto v = value();
          stimulus += fmt::format("set d={0}\nwait 8\npulse {1}=1 for 8\nwait 8\nexpect q={0}\n", v, clock);
        }
      }
      break;
  }
  return cell;
}

void write_folder(const fs::path& folder, std::size_t cells) {
  std::mt19937 random(1);
  for (std::size_t i = 0; i < cells; ++i) {
    const CellTexts cell = make_cell(i, random);
    const fs::path group = folder / fmt::format("group_{}", i / 50);
    fs::create_directories(group);
    std::ofstream(group / fmt::format("cell_{:03}.gates", i)) << cell.netlist;
    for (std::size_t s = 0; s < cell.stimuli.size(); ++s) {
      std::ofstream(group / fmt::format("cell_{:03}_{}.stim", i, s)) << cell.stimuli[s];
    }
  }
}

/// Seconds, the best of three; the document of the last.
double measure(const std::string& folder, unsigned jobs, bool storage, std::string& document) {
  double best = 1e9;
  for (int turn = 0; turn < 3; ++turn) {
    const auto start = std::chrono::steady_clock::now();
    Diagnostics diagnostics;
    const std::vector<std::string> paths{folder};
    const auto inputs = find_check_files(paths, diagnostics);
    CheckOptions options;
    options.jobs = jobs;
    options.storage = storage;
    DiskReader files;
    document = check_json(check(inputs, files, options));
    best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
  }
  return best;
}

}  // namespace

int main(int argc, char** argv) {
  std::size_t cells = 500;
  fs::path folder;
  bool keep = false;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--quick") {
      cells = 20;
    } else if (word == "--cells" && i + 1 < argc) {
      cells = std::strtoul(argv[++i], nullptr, 10);
    } else if (word == "--keep" && i + 1 < argc) {
      folder = argv[++i];
      keep = true;
    } else {
      fmt::print(stderr, "bench_check [--quick] [--cells N] [--keep FOLDER]\n");
      return 2;
    }
  }
  if (!keep) {
    std::string name = (fs::temp_directory_path() / "settle-bench-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) return 2;
    folder = name;
  }
  write_folder(folder, cells);
  fmt::print("{} cells, {} stimuli\n", cells, 2 * cells);
  bool same = true;
  for (const bool storage : {false, true}) {
    std::string one, two;
    const double alone = measure(folder.string(), 1, storage, one);
    const double both = measure(folder.string(), 2, storage, two);
    same = same && one == two;
    fmt::print("{:<28} 1 thread {:6.2f} s   2 threads {:6.2f} s\n",
               storage ? "with demands (--storage)" : "lint and stimuli", alone, both);
  }
  if (!same) fmt::print("the documents differ\n");
  if (!keep) fs::remove_all(folder);
  return same ? 0 : 1;
}
