#pragma once
// A PDF under the pen: lengths in mm, origin at the lower left of the page, y up.

#include <memory>
#include <string>

#include <Eigen/Core>

#include "lieflat/base/result.h"

namespace lieflat::internal {

struct Ink {
  double grey = 0.0;  ///< 0 black, 1 white
};

enum class Align { kLeft, kCentre, kRight };

class Canvas {
 public:
  /// @param made_at  ISO 8601, stands in the file as its date.
  Canvas(const std::string& title, const std::string& made_at);
  ~Canvas();

  void NewPage(const Eigen::Vector2d& size_mm);
  void Rectangle(const Eigen::Vector2d& low, const Eigen::Vector2d& high, Ink ink);
  void Frame(const Eigen::Vector2d& low, const Eigen::Vector2d& high, double width, Ink ink);
  void Line(const Eigen::Vector2d& from, const Eigen::Vector2d& to, double width, Ink ink);
  void Circle(const Eigen::Vector2d& centre, double radius, double width, Ink ink);
  /// One line; height of the letters in mm.
  void Text(const Eigen::Vector2d& at,
            double height,
            const std::string& text,
            Align align = Align::kLeft,
            double turned_deg = 0.0);
  /// The whole file. The canvas is used up.
  Result<std::string> Finish();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace lieflat::internal
