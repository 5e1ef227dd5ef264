// SPDX-License-Identifier: Apache-2.0
// A running computation's state as bytes, so that it can be put aside and taken up again to the last bit.
//
// Whoever holds state has one function that walks over it; the walk either copies it out or puts it back, so
// the two can't differ in order. What can be computed anew from the same input is left out.
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <type_traits>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// A state that was put aside.
struct KeptState {
    std::vector<std::byte> whole;               ///< all that changes
    std::vector<std::vector<std::byte>> added;  ///< what only grows: what each keeping added, oldest first
};

class StateWalk {
  public:
    /// Copies out. `logged`: how many entries of each log earlier keepings have taken; brought up to date.
    /// May be empty the first time.
    explicit StateWalk(std::vector<std::size_t>& logged) : logged_(&logged) {}
    /// Puts back. Throws RunError when `kept` doesn't hold what is walked over.
    explicit StateWalk(const KeptState& kept) : kept_(&kept), read_(kept.added.size() + 1, 0) {}

    [[nodiscard]] bool restores() const { return kept_ != nullptr; }

    void bytes(void* data, std::size_t count);
    template <class T>
    void value(T& number) {
        static_assert(std::is_trivially_copyable_v<T>);
        bytes(&number, sizeof(T));
    }
    template <class T>
    void values(std::span<T> numbers) {
        static_assert(std::is_trivially_copyable_v<T>);
        bytes(numbers.data(), numbers.size_bytes());
    }
    /// Keeps its shape, also that of an empty one.
    template <class T>
    void field(Field<T>& field) {
        std::int32_t shape[2] = {field.rows(), field.cols()};
        value(shape);
        if (shape[0] != field.rows() || shape[1] != field.cols()) field = Field<T>(shape[0], shape[1]);
        values(field.all());
    }
    template <class T>
    void vector(std::vector<T>& numbers) {
        std::size_t size = numbers.size();
        value(size);
        resize(numbers, size);
        values(std::span<T>(numbers));
    }
    /// A list that only grows, whose entries don't change: only what is new since the last keeping is copied
    /// out. `visit(entry)` walks over one entry.
    template <class T, class Visit>
    void log(std::vector<T>& entries, Visit visit) {
        if (!restores()) {
            const std::size_t first = begin_log(entries.size());
            std::size_t count = entries.size() - first;
            target_ = 1;
            value(count);
            for (std::size_t n = first; n < entries.size(); ++n) visit(entries[n]);
        } else {
            entries.clear();
            for (target_ = 1; target_ < read_.size(); ++target_) {
                std::size_t count = 0;
                value(count);
                for (; count > 0; --count) visit(entries.emplace_back());
            }
        }
        target_ = 0;
        std::size_t total = entries.size();
        value(total);
        check_total(total == entries.size());
    }

    /// What was copied out.
    [[nodiscard]] const std::vector<std::byte>& whole() const { return out_[0]; }
    [[nodiscard]] const std::vector<std::byte>& added() const { return out_[1]; }
    /// Throws RunError unless all that was kept has been put back.
    void finish() const;

  private:
    std::size_t begin_log(std::size_t size);
    template <class T>
    void resize(std::vector<T>& numbers, std::size_t size) {
        check_room(size * sizeof(T));
        numbers.resize(size);
    }
    void check_room(std::size_t count) const;
    static void check_total(bool whole);
    [[nodiscard]] const std::vector<std::byte>& source() const {
        return target_ == 0 ? kept_->whole : kept_->added[target_ - 1];
    }

    std::vector<std::size_t>* logged_ = nullptr;
    std::size_t logs_ = 0;
    std::vector<std::byte> out_[2];
    const KeptState* kept_ = nullptr;
    std::vector<std::size_t> read_;  ///< bytes read of `whole` and of each of `added`
    std::size_t target_ = 0;         ///< 0: the whole; otherwise what was added
};

/// Walks over all state of a computation.
using WalkOver = std::function<void(StateWalk&)>;

/// Keeps a computation's state from time to time and has it back.
class StateKeeper {
  public:
    virtual ~StateKeeper() = default;
    /// Before the first step: puts back what was kept, if anything was; returns whether.
    virtual bool restore(const WalkOver& over) = 0;
    /// Keeps the state of `time_s`.
    virtual void keep(double time_s, const WalkOver& over) = 0;
};

}  // namespace lielow
