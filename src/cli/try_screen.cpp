// `settle try` on a terminal: the inputs as keys, the outputs as lamps, the last stretch of the waveform.
// ncurses draws and restores the terminal, also when a signal ends the work.
#define NCURSES_NOMACROS
#include <langinfo.h>
#include <ncurses.h>

#include <algorithm>
#include <cctype>
#include <clocale>
#include <csignal>
#include <cstdio>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/try_parts.h"

namespace settle::cli {
namespace {

constexpr int escape_key = 27;
constexpr int suspend_key = 26;  // Ctrl-Z, which comes as a key in raw mode
constexpr int repaint_key = 12;  // Ctrl-L
constexpr int poll_ms = 100;
constexpr int roomy_columns = 70;
constexpr int scale_rows = 2;  // above a diagram: times and ticks

struct EndScreen {
  void operator()(SCREEN* screen) const {
    endwin();
    delscreen(screen);
  }
};
using ScreenGuard = std::unique_ptr<SCREEN, EndScreen>;

/// Pairs of ncurses; the colours are those of text and pictures, as near as the terminal has them.
enum Color : short { color_plain, color_high, color_low, color_unknown, color_loose, color_mark };

/// Without colours lamps differ by their marks.
void start_colors(bool wanted) {
  if (!wanted || !has_colors()) return;
  start_color();
  use_default_colors();
  const bool many = COLORS >= 256;
  init_pair(color_high, many ? 166 : COLOR_YELLOW, -1);
  init_pair(color_low, many ? 32 : COLOR_CYAN, -1);
  init_pair(color_unknown, many ? 175 : COLOR_MAGENTA, -1);
  init_pair(color_loose, many ? 245 : -1, -1);
  init_pair(color_mark, many ? 178 : COLOR_RED, -1);
}

/// One input bit and the key that toggles it; 0: none was left.
struct InputKey {
  NetId net = 0;
  std::string name;
  char key = 0;
};

/// A letter of the name where one is free, else the first free letter or digit.
std::vector<InputKey> assign_keys(const Circuit& circuit) {
  std::vector<InputKey> keys;
  std::string taken;
  const auto is_free = [&](char c) { return taken.find(c) == std::string::npos; };
  for (NetId net = 0; net < circuit.input_count(); ++net) {
    InputKey key{net, circuit.net_name(net), 0};
    std::string wanted;
    for (const char c : key.name) {
      if (std::isalnum(static_cast<unsigned char>(c)))
        wanted += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
    wanted += "abcdefghijklmnopqrstuvwxyz0123456789";
    const auto found = std::ranges::find_if(wanted, is_free);
    if (found != wanted.end()) {
      key.key = *found;
      taken += *found;
    }
    keys.push_back(std::move(key));
  }
  return keys;
}

class TryScreen {
 public:
  explicit TryScreen(const TryJob& job) : job_(job), keys_(assign_keys(job.circuit)) {
    style_ = job.style;
    style_.color = false;
    const std::string_view codes = nl_langinfo(CODESET);
    if (codes != "UTF-8") style_.ascii = true;
  }

  int show() {
    start();
    while (!stop_flag() && !leaves_) {
      // Whoever had the terminal meanwhile may have changed its modes and what it shows.
      if (has_continued()) restore();
      draw();
      const int key = getch();
      if (key != ERR) press(key);
    }
    return exit_good;
  }

 private:
  // --- what keys do
  /// A circuit with all inputs low is what one finds on a board; that, too, is a statement that can be taken
  /// back.
  void start() {
    std::string low = "set";
    for (const InputKey& key : keys_) low += " " + key.name + "=0";
    if (!keys_.empty()) act(low + (settles_ ? "; settle" : ""));
  }

  static void restore() {
    reset_prog_mode();
    clearok(curscr, TRUE);
  }

  void act(const std::string& statements) {
    message_.clear();
    job_.trial.act(statements, message_);
  }

  void press(int key) {
    if (typing_) return type(key);
    switch (key) {
      case '\n':
      case '\r':
      case KEY_ENTER: return act("settle");
      case ' ': return act("wait 1");
      case '\t': settles_ = !settles_; return;
      case KEY_BACKSPACE:
      case 127:
      case '\b': message_ = job_.trial.undo() ? "" : "nothing to take back\n"; return;
      case suspend_key: std::raise(SIGTSTP); return;  // ncurses gives the terminal back meanwhile
      case repaint_key: return restore();
      case ':': typing_ = ""; return;
      case escape_key:
      case 3:  // Ctrl-C
      case 4:  // Ctrl-D
        leaves_ = true;
        return;
      default: break;
    }
    if (key < 0 || key > 127 || !std::isalnum(key)) return;
    const bool pushes = std::isupper(key);
    const auto found = std::ranges::find(keys_, static_cast<char>(std::tolower(key)), &InputKey::key);
    if (found == keys_.end()) return;
    const char now = job_.trial.value(found->net) == Value::one ? '1' : '0';
    const char then = now == '1' ? '0' : '1';
    if (!pushes) return act(fmt::format("set {}={}{}", found->name, then, settles_ ? "; settle" : ""));
    act(settles_ ? fmt::format("set {0}={1}; settle; set {0}={2}; settle", found->name, then, now)
                 : fmt::format("pulse {}={} for 1", found->name, then));
  }

  void type(int key) {
    if (key == escape_key) {
      typing_.reset();
    } else if (key == KEY_BACKSPACE || key == 127 || key == '\b') {
      if (typing_->empty()) return typing_.reset();
      typing_->pop_back();
    } else if (key == '\n' || key == '\r' || key == KEY_ENTER) {
      const std::string line = *typing_;
      typing_.reset();
      if (line == "quit") {
        leaves_ = true;
      } else if (line == "undo") {
        press(KEY_BACKSPACE);
      } else if (line.starts_with("save ") && line.size() > 5) {
        message_ = save_trial(job_, line.substr(5)) ? "saved " + line.substr(5) + "\n" : "not saved\n";
      } else {
        act(line);
      }
    } else if (key >= 32 && key < 127) {
      *typing_ += static_cast<char>(key);
    }
  }

  // --- what is seen
  void text(int row, int column, std::string_view words, Color color = color_plain, attr_t look = A_NORMAL) {
    if (row < 0 || row >= LINES || column >= COLS) return;
    attrset(look | COLOR_PAIR(color));
    // Our texts have one column a character, so the room left is a number of characters.
    std::size_t bytes = 0;
    for (int room = COLS - column; bytes < words.size(); ++bytes) {
      if ((static_cast<unsigned char>(words[bytes]) & 0xc0) != 0x80 && room-- == 0) break;
    }
    mvaddnstr(row, column, words.data(), static_cast<int>(bytes));
    attrset(A_NORMAL);
  }

  Color color_of(Value value) const {
    return value == Value::one    ? color_high
           : value == Value::zero ? color_low
           : value == Value::x    ? color_unknown
                                  : color_loose;
  }

  /// Filled, open, hatched, dotted: told apart without colours.
  std::string_view lamp(Value value) const {
    if (style_.ascii)
      return value == Value::one ? "(#)" : value == Value::zero ? "( )" : value == Value::x ? "(?)" : "(.)";
    return value == Value::one ? "◆" : value == Value::zero ? "◇" : value == Value::x ? "▒" : "·";
  }

  /// As many as fit into `room` rows; returns the row below.
  int draw_pins(int row, int room) {
    const int half = COLS / 2;
    text(row, 1, "inputs", color_plain, A_BOLD);
    text(row, half, "outputs", color_plain, A_BOLD);
    const int inputs = static_cast<int>(keys_.size()),
              outputs = static_cast<int>(job_.circuit.outputs().size());
    for (int i = 0; i < std::min(inputs, room); ++i) {
      if (i + 1 == room && inputs > room) {
        text(row + 1 + i, 1, fmt::format("and {} more", inputs - i), color_plain, A_DIM);
        break;
      }
      const InputKey& key = keys_[static_cast<std::size_t>(i)];
      const Value value = job_.trial.value(key.net);
      text(row + 1 + i, 1, key.key ? fmt::format("[{}]", key.key) : "   ", color_plain, A_BOLD);
      text(row + 1 + i, 5, fmt::format("{} {} {}", lamp(value), to_char(value), key.name), color_of(value));
    }
    for (int i = 0; i < std::min(outputs, room); ++i) {
      if (i + 1 == room && outputs > room) {
        text(row + 1 + i, half, fmt::format("and {} more", outputs - i), color_plain, A_DIM);
        break;
      }
      const auto bit = static_cast<std::uint32_t>(i);
      const Value value = job_.trial.value(job_.circuit.outputs()[bit]);
      text(row + 1 + i, half,
           fmt::format("{} {} {}", lamp(value), to_char(value), job_.circuit.output_bit_name(bit)),
           color_of(value));
    }
    return row + 1 + std::min(room, std::max(inputs, outputs));
  }

  /// Above row `last`: as many instants as fit beside each other. Where the rows are too few the inputs are
  /// left out, which stand above as keys, and then the scale.
  void draw_waveform(int row, int last) {
    for (const bool with_inputs : {true, false}) {
      // The fewest instants have the fewest rows; more of them may stand as long as none are added below.
      std::vector<std::string> lines = lines_of(trial_waveform(job_.trial, 2, style_, with_inputs));
      if (with_inputs && static_cast<int>(lines.size()) > last - row) continue;
      for (const std::size_t instants : {4u, 6u, 8u, 12u, 16u, 24u, 32u}) {
        auto more = lines_of(trial_waveform(job_.trial, instants, style_, with_inputs));
        if (more.size() > lines.size()) break;
        lines = std::move(more);
      }
      if (static_cast<int>(lines.size()) > std::max(last - row, scale_rows))
        lines.erase(lines.begin(), lines.begin() + scale_rows);
      for (const std::string& line : lines) {
        if (row < last) text(row++, 0, line);
      }
      return;
    }
  }

  static std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = std::min(text.find('\n', at), text.size());
      lines.push_back(text.substr(at, end - at));
      at = end + 1;
    }
    return lines;
  }

  void draw() {
    erase();
    text(0, 1, job_.circuit.cell_name(), color_plain, A_BOLD);
    text(0, COLS / 2, "time " + to_text(job_.trial.now(), job_.circuit.time_unit()));
    const bool roomy = COLS >= roomy_columns;
    text(1, 1,
         settles_ ? (roomy ? "each key runs on until nothing changes (TAB: time stands still)"
                           : "keys settle (TAB: time stands still)")
                  : (roomy ? "time stands still between keys (TAB: run on until nothing changes)"
                           : "time stands still (TAB: keys settle)"));
    style_.width = static_cast<unsigned>(std::max(20, COLS - 2));
    std::vector<std::string> words =
        lines_of(message_.empty() ? trial_findings(job_.trial, style_) : message_);
    // Of what is below the pins, words come before the waveform, and a low screen has some of each.
    const int help = LINES - 2;
    const int pins_room = std::max(1, std::max(LINES / 2 - 4, std::min(help - 6, 6)));
    const int below_pins = draw_pins(3, pins_room);
    words.resize(
        std::min<std::size_t>(words.size(), static_cast<std::size_t>(std::clamp(help - below_pins, 0, 4))));
    const int first = help - static_cast<int>(words.size());
    draw_waveform(below_pins + 1, first);
    for (std::size_t i = 0; i < words.size(); ++i) text(first + static_cast<int>(i), 1, words[i], color_mark);
    if (typing_) {
      text(LINES - 1, 0, ":" + *typing_, color_plain, A_BOLD);
      curs_set(1);
    } else {
      text(help, 1,
           roomy ? "ENTER settle  SPACE one unit of time  letter toggles  CAPITAL pushes"
                 : "ENTER settle  SPACE wait  a/A on/push",
           color_plain, A_DIM);
      text(LINES - 1, 1,
           roomy ? "BACKSPACE take back  : type a statement  ESC leave"
                 : "BACKSPACE back  : statement  ESC leave",
           color_plain, A_DIM);
      curs_set(0);
    }
    refresh();
  }

  TryJob job_;
  std::vector<InputKey> keys_;
  TextStyle style_;
  std::string message_;
  std::optional<std::string> typing_;
  bool settles_ = true;
  bool leaves_ = false;
};

}  // namespace

int try_screen(const TryJob& job) {
  std::setlocale(LC_ALL, "");
  ScreenGuard screen(newterm(nullptr, stdout, stdin));
  if (!screen) {
    print_message("settle: error: this terminal is not known\n  hint: set TERM, or use --lines\n");
    return exit_bad_input;
  }
  raw();
  noecho();
  nonl();
  keypad(stdscr, TRUE);
  set_escdelay(50);
  timeout(poll_ms);
  start_colors(job.style.color);
  const int status = TryScreen(job).show();
  screen.reset();
  if (!job.save_to.empty()) return save_trial(job, job.save_to) ? status : exit_bad_input;
  return status;
}

}  // namespace settle::cli
