// Heights from rendered photos of a lying board against the board that was rendered. Seeds 5001 and
// up were drawn after renderer, method and thresholds were fixed.

#include "lieflat/photo/lying.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include <Eigen/Dense>
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "support/counts.h"
#include "support/render/sets.h"

namespace lieflat {
namespace {

using testing::RenderedSet;
using testing::SetOptions;

std::vector<SeenPhoto> Look(const RenderedSet& set) {
  static const Printed printed = Printed::Of(Calib::Embedded());
  std::vector<SeenPhoto> photos;
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    const std::string name = "photo " + std::to_string(i + 1);
    const auto picture = DecodePicture(set.files[i], name, Colours::kGrey);
    EXPECT_TRUE(picture) << picture.error().Text();
    photos.push_back(LookAt(*picture, name, printed));
  }
  return photos;
}

Result<LyingResult> Measure(const std::vector<SeenPhoto>& photos,
                            const SetOptions& options,
                            LyingRequest request = {}) {
  static const Printed printed = Printed::Of(Calib::Embedded());
  request.held.rest = Rest::kUpright;
  return MeasureLying(photos,
                      testing::DescribedBoard(Calib::Embedded(), options.board_mm),
                      request,
                      printed,
                      Calib::Embedded());
}

/// Measured less true heights, plane and scale-free: both over their own mean plane.
Eigen::VectorXd Errors(const LyingResult& result, const testing::LyingBoard& board) {
  const StickerLayout layout = StickerLayoutOf(Calib::Embedded());
  const auto n = static_cast<Eigen::Index>(result.stations.size());
  Eigen::MatrixX3d plane(n, 3);
  Eigen::VectorXd off(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Station& station = result.stations[static_cast<std::size_t>(i)];
    const int id = *layout.IdOf(station.name);
    plane.row(i) << 1.0, testing::TruePlace(board, id).transpose();
    off(i) = station.height_mm - testing::TrueHeight(board, id);
  }
  return off - plane * plane.colPivHouseholderQr().solve(off);
}

/// Errors of one kind and the 95 % half-widths stated for them.
struct Kind {
  std::vector<double> errors, widths;
  void Add(double error, double u) {
    errors.push_back(error);
    widths.push_back(1.96 * u);
  }
  [[nodiscard]] double rms() const {
    double squares = 0.0;
    for (const double error : errors) squares += error * error;
    return std::sqrt(squares / static_cast<double>(errors.size()));
  }
  [[nodiscard]] double worst() const {
    double worst = 0.0;
    for (const double error : errors) worst = std::max(worst, std::abs(error));
    return worst;
  }
  [[nodiscard]] double inside() const {
    int count = 0;
    for (std::size_t i = 0; i < errors.size(); ++i)
      count += std::abs(errors[i]) <= widths[i] ? 1 : 0;
    return static_cast<double>(count) / static_cast<double>(errors.size());
  }
  [[nodiscard]] double width() const {
    std::vector<double> sorted = widths;
    std::sort(sorted.begin(), sorted.end());
    return sorted[sorted.size() / 2];
  }
  void Print(const char* what) const {
    std::printf(
        "  %s: %zu, rms %.4f mm, worst %.4f mm, median 95 %% half-width %.4f mm, inside %.3f\n",
        what,
        errors.size(),
        rms(),
        worst(),
        width(),
        inside());
  }
};

/// Heights; the same with stated widths that leave out how flat a label lies, since the rendered
/// ones lie perfectly flat; middles of the long edges over their ends; the diagonals' difference.
struct Tally {
  int sets = 0;
  Kind heights, optical, bows, twists;
  void Add(const LyingResult& result, const testing::LyingBoard& board) {
    static const double seating = Calib::Embedded().Number("photo", "/stickers/seating_u_mm").value;
    ++sets;
    const Eigen::VectorXd errors = Errors(result, board);
    for (Eigen::Index i = 0; i < errors.size(); ++i) {
      const double u = result.stations[static_cast<std::size_t>(i)].u_mm;
      heights.Add(errors(i), u);
      optical.Add(errors(i), std::sqrt(std::max(0.0, u * u - seating * seating)));
    }
    const auto add = [&](Kind& kind, const std::map<std::string, double>& weights) {
      Eigen::VectorXd w = Eigen::VectorXd::Zero(errors.size());
      std::size_t found = 0;
      for (Eigen::Index i = 0; i < errors.size(); ++i) {
        const auto weight = weights.find(result.stations[static_cast<std::size_t>(i)].name);
        if (weight == weights.end()) continue;
        w(i) = weight->second;
        ++found;
      }
      if (found == weights.size())
        kind.Add(w.dot(errors), std::sqrt(w.dot(result.reading.covariance_mm2 * w)));
    };
    add(bows, {{"A", -0.5}, {"AB", 1.0}, {"B", -0.5}});
    add(bows, {{"C", -0.5}, {"CD", 1.0}, {"D", -0.5}});
    add(twists, {{"A", 1.0}, {"B", -1.0}, {"C", 1.0}, {"D", -1.0}});
  }
  void Print(const char* what) const {
    std::printf("%s: %d sets\n", what, sets);
    heights.Print("heights");
    optical.Print("heights, labels taken as flat");
    bows.Print("bow");
    twists.Print("twist");
    std::fflush(stdout);
  }
};

Tally MeasureSets(const SetOptions& options, int first_seed, int count) {
  Tally tally;
  for (int i = 0; i < count; ++i) {
    Random random(static_cast<std::uint64_t>(first_seed + i));
    RenderedSet set = testing::DrawLyingSet(Calib::Embedded(), options, random);
    testing::Photograph(set, options, random);
    const auto result = Measure(Look(set), options);
    EXPECT_TRUE(result) << first_seed + i << ": " << result.error().Text();
    if (!result) continue;
    tally.Add(*result, *set.scene.board);
    if (std::getenv("LIEFLAT_SHOW") != nullptr)
      tally.Print(fmt::format("to {}", first_seed + i).c_str());
  }
  return tally;
}

/// 12 megapixels in the full form, 2 in daily work and wherever `small`.
SetOptions Usual(int photos, double lens_error_px = 0.0, bool small = false) {
  SetOptions options;
  options.photos = photos;
  options.unknown_px = lens_error_px;
  if (small || !testing::Full()) {
    options.width = 1600;
    options.height = 1200;
    options.unknown_px *= 0.4;  // the same share of the picture
  }
  return options;
}

TEST(Lying, FivePhotosGiveHeightsToHundredths) {
  const Tally tally = MeasureSets(Usual(5), 5001, testing::Count(1, 30));
  tally.Print("5 photos");
  const double more = testing::Full() ? 1.0 : 2.5;  // smaller pictures
  EXPECT_LT(tally.heights.rms(), 0.008 * more);
  EXPECT_LT(tally.heights.worst(), 0.030 * more);
  EXPECT_LT(tally.bows.rms(), 0.015 * more);
  EXPECT_LT(tally.twists.rms(), 0.015 * more);
  EXPECT_GE(tally.heights.inside(), 0.93);
  if (testing::Full()) {
    EXPECT_LE(tally.optical.width(), 4.0 * tally.optical.rms());
  }
}

TEST(Lying, ALensThatNoModelKnowsIsAdmitted) {
  const Tally tally = MeasureSets(Usual(5, 1.0), 5101, testing::Count(1, 30));
  tally.Print("lens error");
  EXPECT_LT(tally.heights.rms(), 0.035);
  EXPECT_GE(tally.heights.inside(), testing::Full() ? 0.93 : 0.85);
  if (testing::Full()) {
    EXPECT_LE(tally.heights.width(), 8.0 * tally.heights.rms());
  }
}

TEST(Lying, ThreePhotosAreEnough) {
  SetOptions options;
  options.photos = 3;
  const Tally tally = MeasureSets(options, 5201, testing::Count(1, 30));
  tally.Print("3 photos");
  EXPECT_LT(tally.heights.rms(), 0.015);
}

/// Shares of a few sets say little: held in the full form only, over 150.
TEST(Lying, BowAndTwistLieInsideTheirIntervals) {
  for (const double lens_error_px : {0.0, 1.0}) {
    const Tally tally = MeasureSets(Usual(5, lens_error_px, true), 5301, testing::Count(1, 150));
    tally.Print(lens_error_px > 0.0 ? "small, lens error" : "small");
    EXPECT_LT(tally.bows.rms(), 0.05);
    EXPECT_LT(tally.twists.rms(), 0.10);
    if (!testing::Full()) continue;
    EXPECT_GE(tally.heights.inside(), 0.93);
    EXPECT_GE(tally.bows.inside(), 0.92);
    EXPECT_GE(tally.twists.inside(), 0.92);
  }
}

/// A board of 305 x 244 mm on tiles that were put down by hand; larger pictures than `Usual`, for
/// so wide a view.
SetOptions OnTiles(int columns, int rows) {
  SetOptions options;
  options.paper = "a4";
  options.tile_columns = columns;
  options.tile_rows = rows;
  options.board_mm = columns > rows ? Eigen::Vector2d(244, 150) : Eigen::Vector2d(305, 244);
  if (!testing::Full()) {
    options.width = 2560;
    options.height = 1920;
  }
  return options;
}

TEST(Lying, TilesLaidByHandGiveHeightsToHundredths) {
  for (const auto& [columns, rows] : {std::pair(2, 2), {2, 1}}) {
    const Tally tally =
        MeasureSets(OnTiles(columns, rows), 5401 + 100 * rows, testing::Count(1, 15));
    tally.Print(fmt::format("tiles, {} x {}", columns, rows).c_str());
    const double more = testing::Full() ? 1.0 : 2.5;  // as for five photos on one sheet
    EXPECT_LT(tally.heights.rms(), 0.008 * more);
    EXPECT_LT(tally.heights.worst(), 0.030 * more);
    EXPECT_LT(tally.bows.rms(), 0.015 * more);
    EXPECT_LT(tally.twists.rms(), 0.015 * more);
    EXPECT_GE(tally.heights.inside(), 0.93);
  }
}

TEST(Lying, FewPhotosAndFewStickersAreSaid) {
  SetOptions options;
  const std::vector<SeenPhoto> none(5);
  const auto result = Measure(none, options);
  ASSERT_FALSE(result);
  EXPECT_EQ(result.error().code, ErrorCode::kNoFigure);
  EXPECT_NE(result.error().Text().find("0 of 5 can be used, 3 needed"), std::string::npos)
      << result.error().Text();
  EXPECT_NE(result.error().Text().find("no marker of a printed sheet is seen"), std::string::npos);
}

}  // namespace
}  // namespace lieflat
