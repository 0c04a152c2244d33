#pragma once
// The blank band of a stand sheet as light on a grid of its own, in which the edge is looked for.

#include <functional>
#include <optional>

#include <Eigen/Core>

namespace lieflat::internal {

/// Light of the sheet at a place of its frame, linear; nothing off the picture.
using SheetLight = std::function<std::optional<double>(double x, double y)>;

struct BandWindow {
  double from_x = 0.0, to_x = 0.0, from_y = 0.0, to_y = 0.0;  ///< mm, sheet's frame
};

/// Columns along the sheet, rows away from the phone; smoothed along by 1 mm.
class EdgeBand {
 public:
  static constexpr double kAlongMm = 0.5, kAcrossMm = 0.04;
  static int Rows(double mm);

  EdgeBand(const SheetLight& light, const BandWindow& window);
  [[nodiscard]] int columns() const { return static_cast<int>(light_.cols()); }
  [[nodiscard]] int rows() const { return static_cast<int>(light_.rows()); }
  [[nodiscard]] double X(double column) const { return window_.from_x + column * kAlongMm; }
  [[nodiscard]] double Y(double row) const { return window_.from_y + row * kAcrossMm; }
  [[nodiscard]] double RowOf(double y) const { return (y - window_.from_y) / kAcrossMm; }
  [[nodiscard]] double At(int row, int column) const { return light_(row, column); }
  /// Over the rows from .. to - 1, as far as they exist.
  [[nodiscard]] double Mean(int column, int from, int to) const;

 private:
  void SmoothAlong();

  BandWindow window_;
  Eigen::MatrixXd light_, sums_;
};

}  // namespace lieflat::internal
