// SPDX-License-Identifier: Apache-2.0
// A running computation's state as bytes, so that it can be put aside and taken up again to the last bit.
//
// Whoever holds state has one function that walks over it; the walk either copies it out or puts it back, so
// the two can't differ in order. What can be computed anew from the same input is left out.
//
// A walk over one part of a grid may leave what belongs to cells to a carrier, which knows where the rows of
// the whole grid lie (sim/night_windows.hpp); the rest, the same for all parts, then makes the bytes.
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <type_traits>
#include <vector>

#include "sim/grid.hpp"
#include "sim/sheet_array.hpp"

namespace lielow {

/// A state that was put aside.
struct KeptState {
    std::vector<std::byte> whole;               ///< all that changes
    std::vector<std::vector<std::byte>> added;  ///< what only grows: what each keeping added, oldest first
};

/// Copies out or puts back what belongs to the cells of a part of a grid, in the order of the walk.
class CellCarrier {
  public:
    virtual ~CellCarrier() = default;
    virtual void plane(Field<float>& values) = 0;
    virtual void sheets(SheetArray<float>& values) = 0;
    /// Until it ends: what changes only when a night is looked at.
    virtual void begin_seldom() = 0;
    virtual void end_seldom() = 0;
};

class StateWalk {
  public:
    /// Copies out. `logged`: how many entries of each log earlier keepings have taken; brought up to date.
    /// May be empty the first time.
    explicit StateWalk(std::vector<std::size_t>& logged, CellCarrier* carrier = nullptr)
        : logged_(&logged), carrier_(carrier) {}
    /// Puts back. Throws RunError when `kept` doesn't hold what is walked over.
    explicit StateWalk(const KeptState& kept, CellCarrier* carrier = nullptr)
        : carrier_(carrier), kept_(&kept), read_(kept.added.size() + 1, 0) {}

    [[nodiscard]] bool restores() const { return kept_ != nullptr; }
    /// Whether what belongs to cells goes to a carrier.
    [[nodiscard]] bool is_carried() const { return carrier_ != nullptr && !apart_; }

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
    /// A sum over cells, or anything else that each part of a grid has for itself: not carried.
    template <class T>
    void own(T& sum) {
        if (!is_carried()) value(sum);
    }
    /// What is worked out anew before it is next read: not carried.
    template <class T>
    void scratch(std::span<T> numbers) {
        if (!is_carried()) values(numbers);
    }
    template <class T>
    void scratch(Field<T>& numbers) {
        if (!is_carried()) field(numbers);
    }
    /// A quantity of every sheet.
    template <class T>
    void sheets(SheetArray<T>& array) {
        if constexpr (std::is_same_v<T, float>) {
            if (is_carried()) {
                carrier_->sheets(array);
                return;
            }
        }
        values(array.all());
    }
    /// What `part` walks over belongs to no cell: the same for all parts of a grid.
    template <class Part>
    void apart(Part part) {
        apart_ = true;
        part();
        apart_ = false;
    }
    /// What `part` walks over changes only when a night is looked at.
    template <class Part>
    void seldom(Part part) {
        if (is_carried()) carrier_->begin_seldom();
        part();
        if (is_carried()) carrier_->end_seldom();
    }
    /// Keeps its shape, also that of an empty one.
    template <class T>
    void field(Field<T>& field) {
        if constexpr (std::is_same_v<T, float>) {
            if (is_carried()) {
                carrier_->plane(field);
                return;
            }
        }
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
    CellCarrier* carrier_ = nullptr;
    bool apart_ = false;
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
