// SPDX-License-Identifier: Apache-2.0
// Private to the water table: incomplete LU factors of a five-point matrix as an Eigen preconditioner.
#pragma once

#include <Eigen/SparseCore>
#include <cstdint>

namespace lielow {

/// ILU(0) (Meijerink & van der Vorst 1977, Math. Comp. 31:148-162). Two neighbours of a cell are never each
/// other's, so elimination changes nothing but the diagonal, and only that is kept: L and U are the matrix's
/// own triangles. Each row's columns must rise, with the diagonal among them. One thread; for M-matrices, as
/// the water table's are, the factors exist.
class FivePointIlu {
  public:
    template <class Matrix>
    FivePointIlu& compute(const Matrix& matrix) {
        rows_ = static_cast<std::int32_t>(matrix.rows());
        outer_ = matrix.outerIndexPtr();
        inner_ = matrix.innerIndexPtr();
        values_ = matrix.valuePtr();
        factorise();
        return *this;
    }
    template <class Matrix>
    FivePointIlu& analyzePattern(const Matrix& /*matrix*/) {
        return *this;
    }
    template <class Matrix>
    FivePointIlu& factorize(const Matrix& matrix) {
        return compute(matrix);
    }
    [[nodiscard]] Eigen::VectorXd solve(const Eigen::VectorXd& right) const;
    [[nodiscard]] Eigen::ComputationInfo info() const { return Eigen::Success; }

  private:
    void factorise();

    std::int32_t rows_ = 0;
    const std::int32_t* outer_ = nullptr;
    const std::int32_t* inner_ = nullptr;
    const double* values_ = nullptr;
    Eigen::Matrix<std::int32_t, Eigen::Dynamic, 1> diagonal_;  ///< where each row's stands in the values
    Eigen::VectorXd inverse_;                                  ///< of U's diagonal
};

}  // namespace lielow
