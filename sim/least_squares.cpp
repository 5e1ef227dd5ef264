// SPDX-License-Identifier: Apache-2.0
#include "sim/least_squares.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <unsupported/Eigen/NonLinearOptimization>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();
/// Nearer to a bound than this a parameter lies on it: its derivative along the sine is lost there.
constexpr double on_bound = 1e-3;

/// The model in free variables s, so that no step can leave 0..1.
class BoundedModel {
  public:
    using Scalar = double;
    using InputType = Eigen::VectorXd;
    using ValueType = Eigen::VectorXd;
    using JacobianType = Eigen::MatrixXd;
    enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };

    BoundedModel(const Residuals& residuals, std::span<const double> from, double step)
        : residuals_(residuals), step_(step), inputs_(static_cast<int>(from.size())) {
        last_ = {from.begin(), from.end()};
        last_values_ = call(last_);
    }

    [[nodiscard]] int inputs() const { return inputs_; }
    [[nodiscard]] int values() const { return static_cast<int>(last_values_.size()); }
    [[nodiscard]] int calls() const { return calls_; }

    static double free_of(double x) { return std::asin(2 * std::clamp(x, 0.0, 1.0) - 1); }
    static double bounded(double s) { return 0.5 * (1 + std::sin(s)); }

    int operator()(const Eigen::VectorXd& s, Eigen::VectorXd& values) {
        values = at(bounded_of(s));
        return 0;
    }
    /// Derivatives by s: those by x times dx/ds.
    int df(const Eigen::VectorXd& s, Eigen::MatrixXd& jacobian) {
        const std::vector<double> x = bounded_of(s);
        jacobian = by_parameter(x);
        for (int p = 0; p < inputs_; ++p) jacobian.col(p) *= 0.5 * std::cos(s[p]);
        return 0;
    }
    Eigen::MatrixXd by_parameter(const std::vector<double>& x) {
        const Field<double> central =
            residual_jacobian([this](std::span<const double> y) { return counted(y); }, x, step_);
        return Eigen::Map<const Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>>(
            central.data(), central.rows(), central.cols());
    }
    std::vector<double> counted(std::span<const double> x) {
        ++calls_;
        return residuals_(x);
    }
    Eigen::VectorXd at(const std::vector<double>& x) {
        if (x != last_) {
            last_values_ = call(x);
            last_ = x;
        }
        return last_values_;
    }

  private:
    static std::vector<double> bounded_of(const Eigen::VectorXd& s) {
        std::vector<double> x(static_cast<std::size_t>(s.size()));
        for (std::size_t p = 0; p < x.size(); ++p) x[p] = bounded(s[static_cast<Eigen::Index>(p)]);
        return x;
    }
    Eigen::VectorXd call(const std::vector<double>& x) {
        const std::vector<double> values = counted(x);
        if (calls_ > 1 && static_cast<Eigen::Index>(values.size()) != last_values_.size())
            throw InputError("a fit's residuals must keep their number");
        return Eigen::Map<const Eigen::VectorXd>(values.data(), static_cast<Eigen::Index>(values.size()));
    }

    const Residuals& residuals_;
    double step_;
    int inputs_;
    int calls_ = 0;
    std::vector<double> last_;
    Eigen::VectorXd last_values_;
};

/// Standard errors and correlations of the parameters inside their bounds that the residuals tell apart.
void judge(BoundedModel& model, Fit& fit) {
    const auto p = static_cast<std::int32_t>(fit.parameters.size());
    fit.standard_errors.assign(fit.parameters.size(), not_known);
    fit.correlations = Field<double>(p, p, not_known);
    const Eigen::MatrixXd jacobian = model.by_parameter(fit.parameters);
    std::vector<int> inside;
    for (int i = 0; i < p; ++i) {
        const double x = fit.parameters[static_cast<std::size_t>(i)];
        if (x > on_bound && x < 1 - on_bound && jacobian.col(i).norm() > 0) inside.push_back(i);
    }
    const auto free = static_cast<Eigen::Index>(inside.size());
    if (free == 0) return;
    Eigen::MatrixXd told(jacobian.rows(), free);
    for (Eigen::Index i = 0; i < free; ++i) told.col(i) = jacobian.col(inside[static_cast<std::size_t>(i)]);
    const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> factors(told);
    if (factors.rank() < free) return;
    const double s2 = model.at(fit.parameters).squaredNorm() / static_cast<double>(told.rows() - p);
    const Eigen::MatrixXd covariance = s2 * (told.transpose() * told).inverse();
    for (Eigen::Index i = 0; i < free; ++i) {
        const int at_i = inside[static_cast<std::size_t>(i)];
        fit.standard_errors[static_cast<std::size_t>(at_i)] = std::sqrt(covariance(i, i));
        for (Eigen::Index j = 0; j < free; ++j)
            fit.correlations(at_i, inside[static_cast<std::size_t>(j)]) =
                covariance(i, j) / std::sqrt(covariance(i, i) * covariance(j, j));
    }
}

}  // namespace

Field<double> residual_jacobian(const Residuals& residuals, std::span<const double> parameters, double step) {
    const auto columns = static_cast<std::int32_t>(parameters.size());
    Field<double> jacobian;
    for (std::int32_t p = 0; p < columns; ++p) {
        std::vector<double> above(parameters.begin(), parameters.end());
        std::vector<double> below = above;
        const double x = above[static_cast<std::size_t>(p)];
        // On a bound a hair to either side: such a column isn't used, but keeps its place.
        const double h = std::max(std::min({step, x, 1 - x}), on_bound);
        double& up = above[static_cast<std::size_t>(p)];
        double& down = below[static_cast<std::size_t>(p)];
        up = std::min(x + h, 1.0);
        down = std::max(x - h, 0.0);
        const std::vector<double> high = residuals(above);
        const std::vector<double> low = residuals(below);
        if (p == 0) jacobian = Field<double>(static_cast<std::int32_t>(high.size()), columns);
        for (std::size_t i = 0; i < high.size(); ++i)
            jacobian(static_cast<std::int32_t>(i), p) = (high[i] - low[i]) / (up - down);
    }
    return jacobian;
}

Fit fit_least_squares(const Residuals& residuals, std::span<const double> from, const FitOptions& options) {
    BoundedModel model(residuals, from, options.step);
    if (model.values() <= model.inputs()) throw InputError("a fit needs more measurements than parameters");
    Eigen::VectorXd s(model.inputs());
    for (int p = 0; p < model.inputs(); ++p)
        // On a bound itself the sine has no slope: a hair inside.
        s[p] = BoundedModel::free_of(std::clamp(from[static_cast<std::size_t>(p)], on_bound, 1 - on_bound));
    Eigen::LevenbergMarquardt<BoundedModel> search(model);
    search.parameters.ftol = options.tolerance;
    search.parameters.xtol = options.tolerance;
    search.parameters.maxfev = options.most_calls;
    auto state = search.minimizeInit(s);
    while (state == Eigen::LevenbergMarquardtSpace::NotStarted ||
           state == Eigen::LevenbergMarquardtSpace::Running) {
        state = model.calls() < options.most_calls
                    ? search.minimizeOneStep(s)
                    : Eigen::LevenbergMarquardtSpace::TooManyFunctionEvaluation;
    }
    Fit fit;
    for (int p = 0; p < model.inputs(); ++p) fit.parameters.push_back(BoundedModel::bounded(s[p]));
    fit.settled = state != Eigen::LevenbergMarquardtSpace::TooManyFunctionEvaluation;
    fit.root_mean_square = std::sqrt(model.at(fit.parameters).squaredNorm() / model.values());
    judge(model, fit);
    fit.calls = model.calls();
    return fit;
}

StraightLine fit_line(std::span<const double> x, std::span<const double> y) {
    if (x.size() != y.size() || x.size() < 2) throw InputError("a straight line needs two points");
    const auto n = static_cast<double>(x.size());
    double mean_x = 0;
    double mean_y = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        mean_x += x[i] / n;
        mean_y += y[i] / n;
    }
    double xx = 0;
    double xy = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        xx += (x[i] - mean_x) * (x[i] - mean_x);
        xy += (x[i] - mean_x) * (y[i] - mean_y);
    }
    StraightLine line;
    line.slope = xx > 0 ? xy / xx : 0.0;
    line.intercept = mean_y - line.slope * mean_x;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double left = y[i] - line.intercept - line.slope * x[i];
        line.root_mean_square += left * left / n;
    }
    line.root_mean_square = std::sqrt(line.root_mean_square);
    return line;
}

}  // namespace lielow
