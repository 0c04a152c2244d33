#include "photo/place.h"

#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

namespace lieflat::internal {
namespace {

/// A place with how well it is known along two directions.
struct Anchor {
  std::size_t sticker = 0;
  Eigen::Vector2d place;
  Eigen::Matrix2d root_weight;  ///< rows: directions over their uncertainties
  double u_mm = 1.0;            ///< the smaller of these: across an edge
};

/// Where a lettered sticker lies that is pushed into its corner, or against the middle of its edge,
/// its centre `inset` from the edges with `u_mm`.
std::optional<Anchor> LetteredPlace(const std::string& name,
                                    double inset,
                                    const Board& board,
                                    double u_mm) {
  const auto inwards = [&](Edge edge) {
    const Eigen::Vector2d along = (board.EdgeEnd(edge) - board.EdgeStart(edge)).normalized();
    return Eigen::Vector2d(-along.y(), along.x());
  };
  Anchor anchor;
  anchor.u_mm = u_mm;
  anchor.root_weight = Eigen::Matrix2d::Identity() / u_mm;
  constexpr double kAlongUMm = 12.0, kMiddleUMm = 15.0;  // by eye
  if (const auto edge = EdgeNamed(name)) {
    const Eigen::Vector2d n = inwards(*edge), along(n.y(), -n.x());
    anchor.place = 0.5 * (board.EdgeStart(*edge) + board.EdgeEnd(*edge)) + inset * n;
    anchor.root_weight << n.transpose() / u_mm, along.transpose() / kAlongUMm;
    return anchor;
  }
  if (name == "M") {
    anchor.place = 0.25 * (board.corners_mm[0] + board.corners_mm[1] + board.corners_mm[2] +
                           board.corners_mm[3]);
    anchor.root_weight = Eigen::Matrix2d::Identity() / kMiddleUMm;
    return anchor;
  }
  if (name.size() == 1 && name[0] >= 'A' && name[0] <= 'D') {
    const auto i = static_cast<std::size_t>(name[0] - 'A');
    anchor.place =
        board.corners_mm[i] + inset * (inwards(kEdges[i]) + inwards(kEdges[(i + 3) % 4]));
    return anchor;
  }
  return std::nullopt;
}

/// x' = a x - b y + c, y' = b x + a y + d by weighted least squares, with sums of squares.
struct Similarity {
  double a = 1.0, b = 0.0, c = 0.0, d = 0.0;
  double rms = 0.0, scale_u = 1.0;
  [[nodiscard]] Eigen::Vector2d operator()(const Eigen::Vector2d& at) const {
    return {a * at.x() - b * at.y() + c, b * at.x() + a * at.y() + d};
  }
  [[nodiscard]] double scale() const { return std::hypot(a, b); }
};

Similarity FitSimilarity(const std::vector<Anchor>& anchors,
                         const std::vector<Eigen::Vector2d>& at) {
  Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
  Eigen::Vector4d right = Eigen::Vector4d::Zero();
  for (const Anchor& anchor : anchors) {
    const Eigen::Vector2d& p = at[anchor.sticker];
    Eigen::Matrix<double, 2, 4> j;
    j << p.x(), -p.y(), 1, 0, p.y(), p.x(), 0, 1;
    const Eigen::Matrix<double, 2, 4> wj = anchor.root_weight * j;
    normal += wj.transpose() * wj;
    right += wj.transpose() * (anchor.root_weight * anchor.place);
  }
  const Eigen::Matrix4d covariance = normal.inverse();
  const Eigen::Vector4d x = covariance * right;
  Similarity fit{x[0], x[1], x[2], x[3], 0.0, std::sqrt(covariance(0, 0))};
  double sum = 0.0;
  for (const Anchor& anchor : anchors) {
    sum += (anchor.root_weight * (fit(at[anchor.sticker]) - anchor.place)).squaredNorm();
  }
  fit.rms = std::sqrt(sum / static_cast<double>(anchors.size()));
  return fit;
}

/// The stickers whose place is known: by the table, else by their letter.
std::vector<Anchor> AnchorsOf(const std::vector<Measured>& stickers,
                              const Board& board,
                              const std::map<std::string, Eigen::Vector2d>& table,
                              const StickerLayout& layout,
                              const Calib& calib) {
  const double told_u_mm = calib.Number("photo", "/stickers/place_u_mm").value;
  const double inside_mm = calib.Number("photo", "/stickers/inside_mm").value;
  const double inside_u_mm = calib.Number("photo", "/stickers/inside_u_mm").value;
  std::vector<Anchor> anchors;
  for (std::size_t i = 0; i < stickers.size(); ++i) {
    const std::string name = layout.NameOf(stickers[i].id);
    std::optional<Anchor> anchor;
    if (const auto given = table.find(name); given != table.end()) {
      anchor = Anchor{0, given->second, Eigen::Matrix2d::Identity() / told_u_mm, told_u_mm};
    } else {
      const double flush_mm = 0.5 * stickers[i].size_mm + layout.rim_mm;
      anchor = LetteredPlace(name, flush_mm + inside_mm, board, inside_u_mm);
    }
    if (!anchor) continue;
    anchor->sticker = i;
    anchors.push_back(*anchor);
  }
  return anchors;
}

Error LettersTheOtherWayRound(Side down) {
  return {ErrorCode::kRefused,
          "stickers",
          fmt::format("their letters run the other way round: the board lies with its {} side up",
                      down == Side::kSolder ? "solder" : "component"),
          fmt::format("give --down {}, or put the stickers right",
                      down == Side::kSolder ? "component" : "solder")};
}

/// Whether the board is as large as described, as far as the stickers' places can tell: to twice
/// the uncertainty of what they say of the scale.
Result<void> SizeAsDescribed(const Similarity& fit, const Calib& calib) {
  const double most = calib.Number("photo", "/print/largest_scale_error").value;
  const double off = fit.scale() - 1.0;
  if (std::abs(off) <= most + 2.0 * fit.scale_u) return {};
  return Error{ErrorCode::kRefused,
               "stickers",
               fmt::format("the board measures {:.1f} % {} than described",
                           100.0 * std::abs(off),
                           off < 0.0 ? "larger" : "smaller"),
               "the sheet was fitted to the page (print at 100 %), or the board's size is "
               "another: measure a ruler of the sheet and the board"};
}

/// Every sticker's place on the board: the fit's middle keeps its place, lengths follow the scale
/// chosen.
std::vector<Eigen::Vector2d> PlacesOf(const std::vector<Eigen::Vector2d>& seen,
                                      const std::vector<Anchor>& anchors,
                                      const Similarity& fit,
                                      double scale) {
  const Eigen::Matrix2d turn =
      (Eigen::Matrix2d() << fit.a, -fit.b, fit.b, fit.a).finished() / fit.scale();
  Eigen::Vector2d middle_seen = Eigen::Vector2d::Zero(), middle_board = Eigen::Vector2d::Zero();
  for (const Anchor& anchor : anchors) {
    middle_seen += seen[anchor.sticker] / static_cast<double>(anchors.size());
    middle_board += fit(seen[anchor.sticker]) / static_cast<double>(anchors.size());
  }
  std::vector<Eigen::Vector2d> places;
  for (const auto& at : seen) places.push_back(middle_board + scale * turn * (at - middle_seen));
  return places;
}

}  // namespace

Result<Placing> PlaceOnBoard(const std::vector<Measured>& stickers,
                             const Board& board,
                             Side down,
                             const std::map<std::string, Eigen::Vector2d>& table,
                             const StickerLayout& layout,
                             std::optional<double> rulers_scale,
                             const Calib& calib) {
  const std::vector<Anchor> anchors = AnchorsOf(stickers, board, table, layout, calib);
  constexpr std::size_t kLeastAnchors = 3;
  if (anchors.size() < kLeastAnchors) {
    return Error{ErrorCode::kNoFigure,
                 "stickers",
                 fmt::format("{} of the {} stickers measured have a known place, {} needed",
                             anchors.size(),
                             stickers.size(),
                             kLeastAnchors),
                 "use the lettered ones, or give a table: --stickers FILE with sticker,x_mm,y_mm"};
  }
  std::vector<Eigen::Vector2d> seen, mirrored;
  for (const Measured& sticker : stickers) {
    seen.push_back(sticker.at_mm);
    mirrored.emplace_back(-sticker.at_mm.x(), sticker.at_mm.y());
  }
  if (down != Side::kSolder) std::swap(seen, mirrored);
  const Similarity fit = FitSimilarity(anchors, seen);
  const Similarity other = FitSimilarity(anchors, mirrored);
  constexpr double kClearlyWorse = 4.0, kBadFit = 6.0;
  if (fit.rms > kBadFit && fit.rms > kClearlyWorse * other.rms)
    return LettersTheOtherWayRound(down);
  if (const auto fits = SizeAsDescribed(fit, calib); !fits) return fits.error();

  Placing placing;
  placing.scale = rulers_scale.value_or(fit.scale());
  const double ruler_u = calib.Number("photo", "/print/ruler_u_mm").value / 150.0;
  placing.scale_u = rulers_scale ? ruler_u : std::max(fit.scale_u, 1e-3);
  placing.places = PlacesOf(seen, anchors, fit, placing.scale);
  const double place_mm = calib.Number("photo", "/stickers/place_mm").value;
  for (const Anchor& anchor : anchors) {
    const Eigen::Vector2d away = placing.places[anchor.sticker] - anchor.place;
    // Along an edge by eye: only what lies across it is a doubt.
    if ((anchor.root_weight * away).norm() * anchor.u_mm <= place_mm) continue;
    placing.doubts.push_back(
        fmt::format("sticker {} lies {:.0f} mm from its place; it is taken where it lies",
                    layout.NameOf(stickers[anchor.sticker].id),
                    away.norm()));
  }
  return placing;
}

}  // namespace lieflat::internal
