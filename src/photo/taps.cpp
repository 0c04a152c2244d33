#include "lieflat/photo/taps.h"

#include <cmath>

#include <fmt/format.h>

namespace lieflat {

Result<PhotoReading> MeasureTaps(const Taps& taps,
                                 int width,
                                 int height,
                                 const Board& board,
                                 const Gauge& held,
                                 const Calib& calib) {
  for (const auto* tap : {&taps.first_px, &taps.last_px, &taps.deepest_px}) {
    if (tap->x() < 0.0 || tap->y() < 0.0 || tap->x() > width - 1 || tap->y() > height - 1) {
      return Error{
          ErrorCode::kRefused,
          "--tap",
          fmt::format(
              "{:g},{:g} is off the picture, {} x {} pixels", tap->x(), tap->y(), width, height),
          "count from its upper left corner, the photo as it is seen"};
    }
  }
  const Eigen::Vector2d chord = taps.last_px - taps.first_px;
  const double length = chord.norm();
  const double least =
      calib.Number("photo", "/taps/least_chord_share").value * std::max(width, height);
  if (length < least) {
    return Error{
        ErrorCode::kNoFigure,
        "--tap",
        fmt::format("the edge is {:.0f} pixels long in the photo, {:.0f} needed", length, least),
        "go closer, so that the edge fills the frame"};
  }
  const Eigen::Vector2d to = taps.deepest_px - taps.first_px;
  const double share = to.dot(chord) / (length * length);
  if (share < 0.1 || share > 0.9) {
    return Error{ErrorCode::kRefused,
                 "--tap",
                 "the deepest point does not lie between the ends",
                 "first the edge's first letter, then its second, then the deepest point"};
  }
  const double mm_per_px = board.EdgeLength(taps.edge) / length;
  const double gap = std::abs(to.x() * chord.y() - to.y() * chord.x()) / length * mm_per_px;
  // A finger's place on the picture, at the deepest point and shared by the ends; a view that is
  // not square to the board shortens the gap.
  const double tap_u = calib.Number("photo", "/taps/tap_u_px").value * mm_per_px *
                       std::sqrt(1.0 + (1.0 - share) * (1.0 - share) + share * share);
  const double view_u = calib.Number("photo", "/taps/view_u_share").value * gap;
  const double rule_u = calib.Number("photo", "/taps/rule_u_mm").value;
  PhotoReading reading;
  reading.pose = "standing";
  reading.held = held;
  reading.edge = taps.edge;
  reading.photos = 1;
  const Eigen::Vector2d start = board.EdgeStart(taps.edge), end = board.EdgeEnd(taps.edge);
  const double sign = taps.touched == Side::kComponent ? -1.0 : 1.0;  // the middle stands away
  reading.points.push_back({Name(taps.edge), start + share * (end - start), sign * gap});
  reading.covariance_mm2 =
      Eigen::MatrixXd::Constant(1, 1, tap_u * tap_u + view_u * view_u + rule_u * rule_u);
  return reading;
}

}  // namespace lieflat
