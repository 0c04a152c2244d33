#pragma once
// Small things for drawings: escaping, numbers, the width that a text takes, boxes that must not
// overlap.

#include <string>
#include <vector>

#include <Eigen/Core>

namespace lieflat::report {

/// For text and for attribute values alike: & < > " ' and what must not stand in XML at all.
std::string Escape(const std::string& text);
/// A coordinate with two decimals, without zeros at the end. A number that is not finite is our own
/// mistake and throws.
std::string Px(double value);
/// A minus sign of the width of a plus, for the page.
std::string Typographic(std::string text);

/// In pixels of the drawing, y downwards.
struct PxBox {
  double left = 0.0, top = 0.0, right = 0.0, bottom = 0.0;
  [[nodiscard]] bool Overlaps(const PxBox& other) const;
  [[nodiscard]] bool Holds(const PxBox& other) const;
  [[nodiscard]] bool Holds(const Eigen::Vector2d& point) const;
  [[nodiscard]] PxBox Grown(double by) const;
  [[nodiscard]] double width() const { return right - left; }
  [[nodiscard]] double height() const { return bottom - top; }
};

enum class Anchor { kStart, kMiddle, kEnd };

/// An upper estimate of a text's width in the widest of the usual serif faces. Pixels.
double TextWidth(const std::string& text, double size, bool bold);

/// One line of text in a drawing.
struct Label {
  std::string text;
  Eigen::Vector2d at;  ///< baseline
  Anchor anchor = Anchor::kMiddle;
  double size = 9.5;
  bool bold = false;
  bool upright = false;  ///< turned a quarter, read from the right
  std::string css = {};  ///< further classes

  [[nodiscard]] PxBox Box() const;
  [[nodiscard]] std::string Svg() const;
};

/// "M1,2L3,4" with a Z when closed.
std::string Path(const std::vector<Eigen::Vector2d>& points, bool closed);

}  // namespace lieflat::report
