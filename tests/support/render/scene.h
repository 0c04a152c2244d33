#pragma once
// What a rendered photo shows: a printed mat on paper that is not flat, a board of a known shape on
// it, stickers, parts. Written for the tests, apart from the code that measures: the two share the
// layout of the printed sheets, which is data, and nothing else. World frame: the mat's, mm, z up.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/random.h"
#include "lieflat/sheet/layout.h"

namespace lieflat::testing {

/// Red, green, blue reflectances, linear.
using Colour = Eigen::Vector3f;

/// The sheet as it came out of the printer and lies on the table.
struct PrintedSheet {
  MatLayout layout;
  MarkerFamily markers;
  double scale_x = 1.0, scale_y = 1.0, shear = 0.0;  ///< printed over nominal
  bool mirrored = false;
  Eigen::Vector2d paper_low_mm, paper_high_mm;  ///< nominal coordinates of the paper's edges
  /// How it lies in the world: its origin, its x axis. Only pages beside the first are moved.
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();
  double turned_rad = 0.0;
  /// Height of the paper, at places as printed, on a grid of 10 mm from (-60, -60) on, linear
  /// between; empty: flat.
  std::vector<double> heights;
  static constexpr int kColumns = 60, kRows = 45;
  static constexpr double kStepMm = 10.0, kStartMm = -60.0;
  /// When set, the reflectance at a nominal place comes from here (a page of a PDF), not the
  /// layout.
  std::function<float(double x, double y)> page;

  /// Waves longer than 60 mm of this root mean square.
  void SetWavy(double rms_mm, Random& random);
  [[nodiscard]] double Height(double x, double y) const;
  /// A place of the world on this page before it was laid down.
  [[nodiscard]] Eigen::Vector2d ToPage(const Eigen::Vector2d& world) const;
  /// Reflectance at a nominal place. Prepare() comes first, once all is set.
  [[nodiscard]] float Ink(double x, double y) const;
  void Prepare();

 private:
  std::vector<int> marker_of_square_;
};
PrintedSheet SheetOf(const Calib& calib, const std::string& paper, bool stand);
PrintedSheet SheetOf(const Calib& calib, const MatLayout& layout);

struct RenderedSticker {
  int id = 0;
  Eigen::Vector2d centre_mm;  ///< board frame
  double turned_rad = 0.0, size_mm = 8.0, rim_mm = 1.5;
  double lift_mm =
      0.0;  ///< of one side, for a sticker that does not lie flat: tilts about its middle
};

struct RenderedPart {
  Eigen::Vector2d centre_mm, half_mm;
  double height_mm = 2.0;
  Colour colour = Colour(0.05F, 0.05F, 0.05F);
};

struct LyingBoard {
  Eigen::Vector2d size_mm = Eigen::Vector2d(244, 170);
  double thickness_mm = 1.6;
  double rest_mm = 3.0;  ///< of the lower face over the paper, at the middle
  /// Shape of the upper face over its mean plane, mm: coefficients of u2, v2, uv, u3, v3, u2v, uv2,
  /// u4 with u, v = -1 .. 1 along the sides.
  Eigen::Matrix<double, 8, 1> shape = Eigen::Matrix<double, 8, 1>::Zero();
  Eigen::Vector2d at_mm;  ///< of the middle, world
  double turned_rad = 0.0;
  bool component_down = false;  ///< seen from behind: the board frame's x runs to the left
  Colour mask = Colour(0.05F, 0.16F, 0.07F);
  float gloss = 0.02F;
  /// When set: what is drawn on the face at a place of the board frame, in place of the bare mask.
  std::function<Colour(const Eigen::Vector2d&)> face;
  /// When set: where the board is gone (nicks, chips).
  std::function<bool(const Eigen::Vector2d&)> gone;
  std::vector<RenderedSticker> stickers;
  std::vector<RenderedPart> parts;
  double cosine = 1.0, sine = 0.0;

  /// Height of the upper face over the board's own middle plane at a place of the board frame.
  [[nodiscard]] double Height(const Eigen::Vector2d& in_board) const;
  [[nodiscard]] Eigen::Vector2d ToBoard(const Eigen::Vector2d& world) const;
  /// To be called after `turned_rad` is set.
  void Prepare();
  /// World position of a point of the upper face.
  [[nodiscard]] Eigen::Vector3d ToWorld(const Eigen::Vector2d& in_board) const;
};

/// A board that stands on its long edge, its face towards -y.
struct StandingBoard {
  Eigen::Vector2d size_mm = Eigen::Vector2d(244, 170);
  double thickness_mm = 1.6;
  Eigen::Vector2d at_mm;    ///< middle of the lower edge, world
  double turned_rad = 0.0;  ///< of the edge, about z
  double lean = 0.0;        ///< y gained a mm of height
  /// Departure of the face from its plane, away from the phone, mm, over u = -1 .. 1 along the
  /// edge: coefficients of u2, u3 - u, u4 and a kink of 1 mm at `kink_at`, 30 mm wide.
  Eigen::Vector4d shape = Eigen::Vector4d::Zero();
  double kink_at = 0.3;
  double twist_mm = 0.0;  ///< of the upper corners against each other
  double rough_mm = 0.0;  ///< of the cut edge
  Colour mask = Colour(0.05F, 0.16F, 0.07F);
  float gloss = 0.02F;
  std::vector<RenderedPart> parts;  ///< centre: along the edge from its left end, height over it
  std::vector<double> bites_mm;     ///< notches of 3 mm in the lower edge, places along it
  float contact_dark = 0.3F;        ///< of the paper right before the edge

  /// Departure away from the phone along the lower edge, from its left end, less its chord.
  [[nodiscard]] double Departure(double along) const;
  [[nodiscard]] double Face(double along, double z) const;  ///< in the edge's own frame
  [[nodiscard]] Eigen::Vector2d ToEdge(const Eigen::Vector2d& world) const;  ///< along, away
};

/// What a ray meets.
struct Met {
  Colour colour;
  float key = 0.0F;  ///< differs between neighbouring surfaces and inks: where more rays are needed
};

class Scene {
 public:
  PrintedSheet sheet;
  std::vector<PrintedSheet> beside;  ///< further pages, each over those before it
  std::optional<LyingBoard> board;
  std::optional<StandingBoard> standing;
  MarkerFamily sticker_markers;
  Colour table = Colour(0.30F, 0.24F, 0.18F);
  Eigen::Vector2d shadow_mm = Eigen::Vector2d(3, -4);  ///< of the board on the paper
  float shadow_depth = 0.35F;
  Eigen::Vector2d light_slope = Eigen::Vector2d(3e-4, -2e-4);  ///< of the light, per mm

  /// To be called once all is set.
  void Prepare();
  [[nodiscard]] Met Trace(const Eigen::Vector3d& from, const Eigen::Vector3d& along) const;

 protected:
  [[nodiscard]] std::optional<Met> MeetBoard(const Eigen::Vector3d& from,
                                             const Eigen::Vector3d& along) const;
  [[nodiscard]] std::optional<Met> MeetStanding(const Eigen::Vector3d& from,
                                                const Eigen::Vector3d& along) const;
  [[nodiscard]] Met MeetSheet(const Eigen::Vector3d& from, const Eigen::Vector3d& along) const;
};

}  // namespace lieflat::testing
