// SPDX-License-Identifier: Apache-2.0
#include "sim/state_walk.hpp"

#include <algorithm>
#include <cstring>

#include "sim/errors.hpp"

namespace lielow {
namespace {

[[noreturn]] void refuse() {
    throw RunError("the kept state of this run doesn't fit it; run again without --resume");
}

}  // namespace

void StateWalk::check_room(std::size_t count) const {
    if (restores() && source().size() - read_[target_] < count) refuse();
}

void StateWalk::check_total(bool whole) {
    if (!whole) refuse();
}

void StateWalk::bytes(void* data, std::size_t count) {
    if (count == 0) return;
    if (!restores()) {
        const auto* from = static_cast<const std::byte*>(data);
        out_[target_].insert(out_[target_].end(), from, from + count);
        return;
    }
    check_room(count);
    std::memcpy(data, source().data() + read_[target_], count);
    read_[target_] += count;
}

std::size_t StateWalk::begin_log(std::size_t size) {
    if (logs_ == logged_->size()) logged_->push_back(0);
    const std::size_t before = (*logged_)[logs_];
    (*logged_)[logs_++] = size;
    return std::min(before, size);
}

void StateWalk::finish() const {
    if (!restores()) return;
    bool all = read_[0] == kept_->whole.size();
    for (std::size_t n = 0; n < kept_->added.size(); ++n) all = all && read_[n + 1] == kept_->added[n].size();
    if (!all) refuse();
}

}  // namespace lielow
