// SPDX-License-Identifier: Apache-2.0
#include "tools/progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace lielow {
namespace {

using namespace std::chrono_literals;

constexpr int bar_width = 30;

double seconds_between(std::chrono::steady_clock::time_point from, std::chrono::steady_clock::time_point to) {
    return std::chrono::duration<double>(to - from).count();
}

std::string time_in_words(double seconds) {
    if (seconds < 90) return fmt::format("{:.0f} s", std::ceil(seconds));
    const int minutes = static_cast<int>(std::ceil(seconds / 60));
    return minutes < 90 ? fmt::format("{} min", minutes)
                        : fmt::format("{} h {:02} min", minutes / 60, minutes % 60);
}

}  // namespace

ProgressStyle progress_style_for(std::FILE* stream, bool quiet) {
    if (quiet) return ProgressStyle::silent;
    const char* term = std::getenv("TERM");
    const bool can_redraw =
        isatty(fileno(stream)) != 0 && term != nullptr && std::string_view(term) != "dumb";
    return can_redraw ? ProgressStyle::bar : ProgressStyle::lines;
}

Progress::~Progress() {
    wipe_bar();
}

void Progress::begin(std::string_view stage) {
    end();
    stage_ = stage;
    begun_ = told_ = Clock::now();
    next_line_ = 0.1;
    if (style_ == ProgressStyle::lines) fmt::print(stream_, "{} ...\n", stage_);
    if (style_ == ProgressStyle::bar) draw_bar(0, 0);
}

void Progress::at(double share) {
    if (stage_.empty() || style_ == ProgressStyle::silent) return;
    const auto now = Clock::now();
    const double seconds = seconds_between(begun_, now);
    if (style_ == ProgressStyle::bar && now - told_ >= 100ms) {
        told_ = now;
        draw_bar(share, seconds);
    }
    if (style_ == ProgressStyle::lines && share >= next_line_ && share < 1 && now - told_ >= 1s) {
        told_ = now;
        next_line_ = 0.1 * (std::floor(share * 10 + 1e-9) + 1);
        fmt::print(stream_, "{} {:.0f} %, about {} left\n", stage_, share * 100,
                   time_in_words(seconds * (1 - share) / share));
        std::fflush(stream_);
    }
}

void Progress::start_over() {
    end();
    times_.clear();
}

void Progress::end() {
    if (stage_.empty()) return;
    const double seconds = seconds_between(begun_, Clock::now());
    wipe_bar();
    if (style_ != ProgressStyle::silent) fmt::print(stream_, "{}: {:.1f} s\n", stage_, seconds);
    std::fflush(stream_);
    times_.push_back({std::move(stage_), seconds});
    stage_.clear();
}

void Progress::say(std::string_view line) {
    wipe_bar();
    fmt::print(stream_, "{}\n", line);
    std::fflush(stream_);
}

void Progress::draw_bar(double share, double seconds) {
    const double shown = std::clamp(share, 0.0, 1.0);
    const int full = static_cast<int>(shown * bar_width);
    const bool can_tell = shown > 0.02 && seconds > 1;
    const std::string left =
        can_tell ? time_in_words(seconds * (1 - shown) / shown) + " left" : std::string();
    fmt::print(stream_, "\r{:<22.22} [{:#<{}}{:.<{}}] {:3.0f} %  {:<16}", stage_, "", full, "",
               bar_width - full, shown * 100, left);
    std::fflush(stream_);
    bar_on_screen_ = true;
}

void Progress::wipe_bar() {
    if (!bar_on_screen_) return;
    fmt::print(stream_, "\r{:79}\r", "");
    bar_on_screen_ = false;
}

}  // namespace lielow
