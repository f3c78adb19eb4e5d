#include "check/stored_waveform.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <iterator>
#include <map>
#include <optional>
#include <set>

namespace settle {
namespace {

constexpr std::string_view waveform_head = "settle waveform 1";

std::string group_value(const Waveform& waveform, const SignalGroup& group,
                        const std::vector<std::size_t>& at) {
  std::string bits;
  for (const std::uint32_t bit : group.bits) bits += to_char(waveform.signals[bit].changes[at[bit]].value);
  return bits;
}

/// A stored text, read back: head lines by their first word, then the changes of each pin.
struct StoredWaveform {
  std::map<std::string, std::string, std::less<>> head;
  std::vector<std::string> pins;  // in order of appearance
  std::map<std::string, std::vector<std::pair<Time, std::string>>, std::less<>> changes;
};

bool read_instant(std::string_view line, StoredWaveform& stored) {
  const std::size_t colon = line.find(':');
  Time time = 0;
  if (colon == std::string_view::npos) return false;
  const auto [stop, error] = std::from_chars(line.data() + 3, line.data() + colon, time);
  if (error != std::errc() || stop != line.data() + colon) return false;
  std::size_t at = colon + 1;
  while ((at = line.find_first_not_of(' ', at)) != std::string_view::npos) {
    const std::size_t end = std::min(line.find(' ', at), line.size());
    const std::string_view word = line.substr(at, end - at);
    const std::size_t equals = word.rfind('=');
    if (equals == std::string_view::npos || equals == 0) return false;
    const std::string name(word.substr(0, equals));
    auto& changes = stored.changes[name];
    if (changes.empty()) stored.pins.push_back(name);
    if (!changes.empty() && changes.back().first >= time) return false;
    changes.emplace_back(time, word.substr(equals + 1));
    at = end;
  }
  return true;
}

std::optional<StoredWaveform> read_waveform(std::string_view text) {
  StoredWaveform stored;
  for (bool first = true; !text.empty(); first = false) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (line.ends_with('\r')) line.remove_suffix(1);
    if (first != (line == waveform_head)) return std::nullopt;
    if (first) continue;
    if (line.starts_with("at ")) {
      if (!read_instant(line, stored)) return std::nullopt;
    } else if (const std::size_t blank = line.find(' '); blank != std::string_view::npos) {
      stored.head[std::string(line.substr(0, blank))] = line.substr(blank + 1);
    } else {
      return std::nullopt;
    }
  }
  if (stored.head.empty()) return std::nullopt;
  return stored;
}

/// The first time from which two lists of changes tell different stories, and both values there.
struct Parting {
  Time time = 0;
  std::string stored, now;
};
Parting first_parting(const std::vector<std::pair<Time, std::string>>& stored,
                      const std::vector<std::pair<Time, std::string>>& now) {
  std::size_t i = 0;
  while (i < stored.size() && i < now.size() && stored[i] == now[i]) ++i;
  const std::string before = i == 0 ? "nothing" : now[i - 1].second;
  Time time = end_of_time;
  if (i < stored.size()) time = std::min(time, stored[i].first);
  if (i < now.size()) time = std::min(time, now[i].first);
  const auto value = [&](const auto& changes) {
    return i < changes.size() && changes[i].first == time ? changes[i].second : before;
  };
  return {time, value(stored), value(now)};
}

}  // namespace

std::string waveform_text(const Waveform& waveform, std::string_view cell) {
  std::string out =
      fmt::format("{}\ncell {}\ntick {}\nend {}\n", waveform_head, cell,
                  waveform.time_unit == TimeUnit::none ? "unit" : name_of(waveform.time_unit), waveform.end);
  // Instants at which something changes, each with the pins that do.
  std::map<Time, std::set<std::size_t>> instants;
  for (std::size_t g = 0; g < waveform.groups.size(); ++g) {
    if (waveform.groups[g].role == SignalGroup::Role::inner) continue;
    for (const std::uint32_t bit : waveform.groups[g].bits) {
      for (const Change& change : waveform.signals[bit].changes) instants[change.time].insert(g);
    }
  }
  std::vector<std::size_t> at(waveform.signals.size(), 0);  // the change that holds, by signal
  for (const auto& [time, groups] : instants) {
    fmt::format_to(std::back_inserter(out), "at {}:", time);
    for (const std::size_t g : groups) {
      const SignalGroup& group = waveform.groups[g];
      for (const std::uint32_t bit : group.bits) {
        const auto& changes = waveform.signals[bit].changes;
        while (at[bit] + 1 < changes.size() && changes[at[bit] + 1].time <= time) ++at[bit];
      }
      fmt::format_to(std::back_inserter(out), " {}={}", group.name, group_value(waveform, group, at));
    }
    out += '\n';
  }
  return out;
}

std::vector<std::string> waveform_differences(std::string_view stored_text, std::string_view now_text,
                                              std::size_t most) {
  if (stored_text == now_text) return {};
  const auto stored = read_waveform(stored_text);
  const auto now = read_waveform(now_text);
  if (!stored || !now) return {"the stored file is no waveform of this program"};
  std::vector<std::string> lines;
  for (const auto& [word, value] : now->head) {
    const auto before = stored->head.find(word);
    const std::string_view was = before == stored->head.end() ? "nothing" : std::string_view(before->second);
    if (was != value) lines.push_back(fmt::format("{}: stored {}, now {}", word, was, value));
  }
  struct Difference {
    Time time;
    std::string text;
  };
  std::vector<Difference> differences;
  const std::string unit =
      now->head.contains("tick") && now->head.at("tick") != "unit" ? " " + now->head.at("tick") : "";
  for (const std::string& pin : now->pins) {
    const auto before = stored->changes.find(pin);
    if (before == stored->changes.end()) {
      lines.push_back(fmt::format("{}: a new pin", pin));
    } else if (before->second != now->changes.at(pin)) {
      const Parting parting = first_parting(before->second, now->changes.at(pin));
      differences.push_back({parting.time, fmt::format("{} at {}{}: stored {}, now {}", pin, parting.time,
                                                       unit, parting.stored, parting.now)});
    }
  }
  for (const std::string& pin : stored->pins) {
    if (!now->changes.contains(pin)) lines.push_back(fmt::format("{}: this pin is gone", pin));
  }
  // The earliest is nearest to the cause.
  std::stable_sort(differences.begin(), differences.end(),
                   [](const Difference& a, const Difference& b) { return a.time < b.time; });
  for (const Difference& difference : differences) lines.push_back(difference.text);
  if (lines.empty()) lines.push_back("the stored file was edited: same waveform, other text");
  if (lines.size() > most) {
    const std::size_t rest = lines.size() - most;
    lines.resize(most);
    lines.push_back(fmt::format("and {} more", rest));
  }
  return lines;
}

std::string waveform_path(const std::string& folder, const std::string& stimulus) {
  std::filesystem::path path(folder);
  for (const auto& part : std::filesystem::path(stimulus).relative_path()) {
    if (part == ".") continue;
    path /= part == ".." ? std::filesystem::path("up") : part;
  }
  return path.replace_extension(".wave").string();
}

}  // namespace settle
