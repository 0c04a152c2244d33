#include "photo/twist_seen.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "lieflat/base/text.h"

namespace lieflat {

const char* const kSeenNoMeasurement =
    "only seen in the photos: it is no measurement of the standard's twist and no reading is kept "
    "of it; measure it on the board lying, with stickers (--pose lying), or read its four corners";

namespace internal {

std::optional<double> OppositeHeight(const Board& board, Edge edge) {
  constexpr double kSquareMm = 1.0;
  const auto e = static_cast<std::size_t>(edge);
  const Eigen::Vector2d start = board.corners_mm[e], end = board.corners_mm[(e + 1) % 4];
  const Eigen::Vector2d along = (end - start).normalized(), up(-along.y(), along.x());
  const Eigen::Vector2d over_end = board.corners_mm[(e + 2) % 4] - end,
                        over_start = board.corners_mm[(e + 3) % 4] - start;
  if (!board.corners_are_outline || (over_end - over_start).norm() > kSquareMm ||
      std::abs(along.dot(over_end)) > kSquareMm)
    return std::nullopt;
  return 0.5 * up.dot(over_end + over_start);
}

UpperEdge JudgeUpperEdge(const std::vector<UpperPhoto>& photos,
                         Edge edge,
                         double scale,
                         const Calib& calib) {
  const auto limit = [&](const char* name) {
    return calib.Number("photo", std::string("/standing/") + name).value;
  };
  UpperEdge out;
  out.corner = Name(edge == Edge::kAB   ? Edge::kCD
                    : edge == Edge::kBC ? Edge::kDA
                    : edge == Edge::kCD ? Edge::kAB
                                        : Edge::kBC)[0];
  const double straight = limit("upper_edge_azimuth_deg");
  int aside = 0, cut = 0, blurred = 0;
  std::vector<double> differences;
  double slope = 0.0;
  for (const UpperPhoto& photo : photos) {
    if (photo.azimuth_deg > straight) {
      ++aside;
    } else if (!photo.seen.in_frame) {
      ++cut;
    } else if (!photo.seen.found) {
      ++blurred;
    } else {
      differences.push_back(photo.seen.difference_mm - photo.lower_difference_mm);
      slope = std::max(slope, photo.slope);
    }
  }
  out.photos = static_cast<int>(differences.size());
  if (out.photos < 2) {
    std::vector<std::string> why;
    if (aside > 0) why.push_back(fmt::format("{} from further aside", aside));
    if (cut > 0) why.push_back(fmt::format("{} without all of it in the frame", cut));
    if (blurred > 0)
      why.push_back(fmt::format("{} in which it is not told from what lies behind", blurred));
    out.missing = fmt::format(
        "that takes two photos from within {:.0f} degrees of straight on, the whole upper edge in "
        "the frame{}{}",
        straight,
        why.empty() ? "" : "; there are ",
        Join(why, ", "));
    return out;
  }
  const auto [least, most] = std::minmax_element(differences.begin(), differences.end());
  const double apart = scale * (*most - *least);
  if (apart > limit("upper_edge_agree_mm")) {
    out.missing = fmt::format(
        "its photos differ by {:.1f} mm, {:.1f} at most", apart, limit("upper_edge_agree_mm"));
    return out;
  }
  double sum = 0.0;
  for (const double difference : differences) sum += difference;
  // Away from the phone is towards the solder side where the edge's first letter is at the left,
  // and its second one, under the corner named, at the right; both the other way round else.
  out.off_mm = -scale * sum / out.photos;
  // Of the photos; and of a board whose two upright sides are not equally long.
  out.u_mm = std::hypot(limit("upper_edge_u_mm"), slope * limit("upright_sides_u_mm"));
  return out;
}

UpperEdge SeeUpperEdge(const std::vector<UpperShot>& shots,
                       const LowerEdge& lower,
                       const Board& board,
                       Edge edge,
                       const Calib& calib) {
  const auto height = OppositeHeight(board, edge);
  if (!height) {
    UpperEdge out;
    out.missing = "the board is not described as a rectangle";
    return out;
  }
  const Chord& chord = lower.chord;
  const Eigen::Vector2d middle = 0.5 * (chord.start + chord.end);
  const SheetPattern pattern(lower.mat, lower.markers);
  std::vector<UpperPhoto> photos;
  for (std::size_t i = 0; i < shots.size(); ++i) {
    const Shot& shot = *shots[i].shot;
    const Eigen::Vector3d eye = -(shot.rotation.transpose() * shot.position);
    const Eigen::Vector2d off = eye.head<2>() - middle;
    UpperPhoto photo;
    photo.azimuth_deg = std::abs(std::atan2(chord.along().dot(off), -chord.away().dot(off))) *
                        180.0 / std::numbers::pi;
    photo.slope = std::abs(chord.away().dot(off)) / eye.z();
    const Eigen::VectorXd& curve = lower.curves.each[i];
    photo.lower_difference_mm = curve(curve.size() - 1) - curve(0);
    if (photo.azimuth_deg <= calib.Number("photo", "/standing/upper_edge_azimuth_deg").value) {
      const auto at_height = [&](double along) {
        return *height / lower.scale + lower.paper.At(chord.start + along * chord.along());
      };
      photo.seen = FindUpperEdge({LightOfSpace(*shots[i].weakest, lower.bundle.lens, shot),
                                  eye,
                                  chord,
                                  at_height,
                                  lower.bundle.print_y},
                                 lower.mat,
                                 pattern);
    }
    photos.push_back(photo);
  }
  return JudgeUpperEdge(photos, edge, lower.scale, calib);
}

}  // namespace internal
}  // namespace lieflat
