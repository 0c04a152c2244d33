#pragma once
// A board drawn to scale, seen from the component side: outline, faint millimetre grid, holes,
// parts hatched by their share, lines with their numbers. What a drawing shows besides is its own.

#include <functional>
#include <string>
#include <vector>

#include "lieflat/board/board.h"
#include "lieflat/damage/effect.h"
#include "lieflat/joints/rating.h"

#include "report/contours.h"
#include "report/labels.h"
#include "report/sheet.h"

namespace lieflat::report {

class BoardCanvas {
 public:
  /// @param name  sets this drawing's identifiers apart from those of others on the page.
  BoardCanvas(const Board& board, const std::vector<PartRating>& ratings, std::string name);

  [[nodiscard]] Eigen::Vector2d ToPx(const Eigen::Vector2d& at_mm) const;
  [[nodiscard]] std::vector<Eigen::Vector2d> ToPx(const std::vector<Eigen::Vector2d>& points) const;
  [[nodiscard]] PxBox BoardBox() const;
  /// The board without its rim: names of its corners stay outside.
  [[nodiscard]] PxBox InnerBoard() const { return BoardBox().Grown(-1.0); }
  [[nodiscard]] double scale() const { return scale_; }
  [[nodiscard]] Eigen::Vector2d size_px() const;

  std::string Grid();
  std::string ScaleBar();
  std::string Holes();
  /// Marks of damage: the line or outline, and its number in a ring beside it. What is known by its
  /// part alone stands at that part.
  std::string Damage(const std::vector<JudgedMark>& marks);
  /// A face's picture in its place.
  [[nodiscard]] std::string Face(const FacePicture& picture, const std::string& css) const;
  /// Large parts first: theirs are the names that matter, and they have room inside.
  std::string Parts();
  /// Along each line, the long ones first: the first place where the number is free, on the board,
  /// and not on another line.
  void LabelLines(const std::vector<ContourLine>& lines,
                  const std::function<std::string(double level)>& text);

  /// The whole <svg>, from below upwards: what is clipped to the board, parts, the board's outline,
  /// what lies over it. Patterns are defined once a page.
  std::string Svg(const std::string& title,
                  const std::string& on_board,
                  const std::string& parts,
                  const std::string& over,
                  bool with_patterns);

  SheetDrawing drawing;  ///< what must be said beside it; `svg` is left to the caller
  LabelPlacer placer;

 private:
  struct DrawnPart {
    const Part* part;
    const PartRating* rating;
    std::vector<Eigen::Vector2d> corners;
    PxBox box;
  };
  std::string NumberAt(const Eigen::Vector2d& at, int number);
  [[nodiscard]] std::string Outline() const;
  [[nodiscard]] const PartRating* RatingOf(const Part& part) const;
  std::string PartShape(const DrawnPart& one);
  void PlacePartLabels(std::vector<DrawnPart>& drawn);
  void AddPartCandidates(const DrawnPart& one,
                         const std::string& text,
                         std::vector<LabelGroup>& out) const;
  [[nodiscard]] bool IsClear(const PxBox& box,
                             const std::vector<ContourLine>& lines,
                             const ContourLine& own) const;

  const Board& board_;
  const std::vector<PartRating>& ratings_;
  std::string name_;
  Eigen::Vector2d low_, size_;
  double scale_ = 1.0, left_ = 0.0, height_ = 0.0;
};

}  // namespace lieflat::report
