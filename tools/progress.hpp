// SPDX-License-Identifier: Apache-2.0
// How far a run has come, told on stderr, and how long each stage took.
#pragma once

#include <chrono>
#include <cstdint>
#include <cstdio>
#include <string>
#include <string_view>
#include <vector>

namespace lielow {

enum class ProgressStyle : std::uint8_t {
    silent,
    lines,  ///< for logs: a line when a stage begins, at most nine more on its way, one when it ends
    bar,    ///< for terminals: one line that is drawn anew, with the time left
};

/// The style that suits `stream`: a bar on a terminal that can redraw a line, lines otherwise.
ProgressStyle progress_style_for(std::FILE* stream, bool quiet);

struct StageTime {
    std::string name;
    double seconds = 0;
};

/// Stages follow one another; beginning one ends the one before. Not for several threads at once.
class Progress {
  public:
    Progress(std::FILE* stream, ProgressStyle style) : stream_(stream), style_(style) {}
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    void begin(std::string_view stage);
    /// `share` of the stage that is done, 0..1. Cheap to call often.
    void at(double share);
    void end();
    /// Forgets the times of stages so far, for the next of several runs.
    void start_over();
    /// A line of its own, whatever the style, that no bar is drawn over.
    void say(std::string_view line);

    [[nodiscard]] const std::vector<StageTime>& times() const { return times_; }

  private:
    using Clock = std::chrono::steady_clock;

    void draw_bar(double share, double seconds);
    void wipe_bar();

    std::FILE* stream_;
    ProgressStyle style_;
    std::string stage_;  ///< empty between stages
    Clock::time_point begun_;
    Clock::time_point told_;
    double next_line_ = 0;  ///< share from which the next line is due
    bool bar_on_screen_ = false;
    std::vector<StageTime> times_;
};

}  // namespace lielow
