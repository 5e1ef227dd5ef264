// SPDX-License-Identifier: Apache-2.0
#include "tools/batch_child.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <string_view>

#include "sim/errors.hpp"

namespace lielow {
namespace {

/// Between fork and exec: nothing but system calls. posix_spawn would do but for the first line: the kernel
/// kills this process when its parent dies, and that holds beyond exec.
[[noreturn]] void become_child(char* const* arguments, int parent, int stderr_handle, int kept_handle) {
    ::prctl(PR_SET_PDEATHSIG, SIGKILL);
    if (::getppid() != parent) ::_exit(1);  // it died before the line above
    const int nowhere = ::open("/dev/null", O_RDWR);
    ::dup2(nowhere, STDIN_FILENO);
    ::dup2(nowhere, STDOUT_FILENO);
    ::dup2(stderr_handle, STDERR_FILENO);
    if (nowhere > STDERR_FILENO) ::close(nowhere);
    ::fcntl(kept_handle, F_SETFD, 0);
    ::execv("/proc/self/exe", arguments);
    ::_exit(1);
}

std::string last_line(std::string_view text) {
    while (!text.empty() && text.back() == '\n') text.remove_suffix(1);
    const auto start = text.rfind('\n');
    if (start != std::string_view::npos) text.remove_prefix(start + 1);
    constexpr std::string_view prefix = "lielow: ";
    if (text.starts_with(prefix)) text.remove_prefix(prefix.size());
    return std::string(text);
}

std::string words_for_signal(int number) {
    return fmt::format(
        "ended by signal {} ({}){}", number, ::strsignal(number),
        number == SIGKILL ? "; the machine may have run out of memory: take fewer --jobs" : "");
}

}  // namespace

Child::Child(const std::vector<std::string>& arguments, int kept_handle) {
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0)
        throw RunError(fmt::format("no process can be started: {}", std::strerror(errno)));
    std::string program = "lielow";
    std::vector<std::string> words = arguments;
    std::vector<char*> pointers{program.data()};
    for (std::string& word : words) pointers.push_back(word.data());
    pointers.push_back(nullptr);
    const int parent = ::getpid();
    process_ = ::fork();
    if (process_ == 0) become_child(pointers.data(), parent, ends[1], kept_handle);
    const int error = errno;
    ::close(ends[1]);
    stderr_ = ends[0];
    if (process_ < 0) {
        ::close(stderr_);
        throw RunError(fmt::format("no process can be started: {}", std::strerror(error)));
    }
    ::fcntl(stderr_, F_SETFL, O_NONBLOCK);
}

Child::~Child() {
    if (process_ > 0) {
        ::kill(process_, SIGKILL);
        ::waitpid(process_, nullptr, 0);
    }
    ::close(stderr_);
}

bool Child::read() {
    constexpr std::size_t kept = 8192;
    std::array<char, 4096> chunk{};
    for (;;) {
        const ssize_t got = ::read(stderr_, chunk.data(), chunk.size());
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) return errno == EAGAIN;
        if (got == 0) return false;
        text_.append(chunk.data(), static_cast<std::size_t>(got));
        if (text_.size() > kept) text_.erase(0, text_.size() - kept);
    }
}

ChildEnd Child::wait() {
    int status = 0;
    rusage usage{};
    while (::wait4(process_, &status, 0, &usage) < 0 && errno == EINTR) {
    }
    process_ = -1;
    ChildEnd end;
    end.peak_memory_bytes = static_cast<std::uint64_t>(usage.ru_maxrss) * 1024;
    end.exit_status = WIFSIGNALED(status) ? 128 + WTERMSIG(status) : WEXITSTATUS(status);
    end.said = WIFSIGNALED(status) ? words_for_signal(WTERMSIG(status)) : last_line(text_);
    if (end.exit_status != 0 && end.said.empty())
        end.said = fmt::format("ended with status {}", end.exit_status);
    return end;
}

void Child::stop() const {
    if (process_ > 0) ::kill(process_, SIGTERM);
}

}  // namespace lielow
