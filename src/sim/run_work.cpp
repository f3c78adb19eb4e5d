#include "sim/run_work.h"

namespace settle {

RunWork::RunWork(const BoundStimulus& stimulus, const RunOptions& options, std::uint64_t lanes)
    : options_(options), searches_(options.any_delay) {
  using Kind = StimulusStatement::Kind;
  struct Block {
    std::size_t end;
    double times;
  };
  std::vector<Block> blocks;
  double total = 0, now = 0;  // rounded: only a share is made of them
  weights_.reserve(stimulus.statements.size());
  for (std::size_t i = 0; i < stimulus.statements.size(); ++i) {
    while (!blocks.empty() && blocks.back().end <= i) blocks.pop_back();
    const BoundStatement& s = stimulus.statements[i];
    const double times = blocks.empty() ? 1 : blocks.back().times;
    std::uint64_t time = 0;
    switch (s.kind) {
      case Kind::wait:
      case Kind::expect_for:
      case Kind::pulse:
      case Kind::bounce: time = s.duration; break;
      case Kind::at:
        if (static_cast<double>(s.duration) > now)
          time = static_cast<std::uint64_t>(static_cast<double>(s.duration) - now);
        break;
      default: break;
    }
    weights_.push_back(std::min(time, most - 1) + 1);
    total += times * static_cast<double>(weights_.back());
    now += times * static_cast<double>(time);
    if (s.kind == Kind::repeat) blocks.push_back({s.body_end, times * static_cast<double>(s.count)});
  }
  const double whole = total * static_cast<double>(lanes);
  const bool is_known = whole < static_cast<double>(most);
  lane_weight_ = is_known ? static_cast<std::uint64_t>(total) : 0;
  start_progress(options.progress, "simulating", "events", is_known ? lane_weight_ * lanes : 0);
}

}  // namespace settle
