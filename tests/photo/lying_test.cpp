// Heights from rendered photos of a lying board against the board that was rendered. Seeds 5001 and
// up were drawn after renderer, method and thresholds were fixed.

#include "lieflat/photo/lying.h"

#include <cstdio>

#include <Eigen/Dense>
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

struct Tally {
  double squares = 0.0, worst = 0.0, width = 0.0;
  int points = 0, inside = 0;
  void Add(const LyingResult& result, const testing::LyingBoard& board) {
    const Eigen::VectorXd errors = Errors(result, board);
    for (Eigen::Index i = 0; i < errors.size(); ++i) {
      const double u = result.stations[static_cast<std::size_t>(i)].u_mm;
      squares += errors(i) * errors(i);
      worst = std::max(worst, std::abs(errors(i)));
      width += 1.96 * u;
      inside += std::abs(errors(i)) <= 1.96 * u ? 1 : 0;
      ++points;
    }
  }
  [[nodiscard]] double rms() const { return std::sqrt(squares / points); }
  void Print(const char* what) const {
    std::printf(
        "%s: %d points, rms %.4f mm, worst %.4f mm, mean 95 %% half-width %.4f mm, inside %.3f\n",
        what,
        points,
        rms(),
        worst,
        width / points,
        static_cast<double>(inside) / points);
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
    if (result) tally.Add(*result, *set.scene.board);
  }
  return tally;
}

TEST(Lying, FivePhotosGiveHeightsToHundredths) {
  SetOptions options;
  if (!testing::Full()) {
    options.width = 1600;
    options.height = 1200;
  }
  const Tally tally = MeasureSets(options, 5001, testing::Count(1, 30));
  tally.Print("5 photos");
  EXPECT_LT(tally.rms(), testing::Full() ? 0.008 : 0.020);
  EXPECT_LT(tally.worst, testing::Full() ? 0.030 : 0.060);
  EXPECT_GE(tally.inside, static_cast<int>(0.93 * tally.points));
}

TEST(Lying, ALensThatNoModelKnowsIsAdmitted) {
  SetOptions options;
  options.unknown_px = 1.0;
  if (!testing::Full()) {
    options.width = 1600;
    options.height = 1200;
    options.unknown_px = 0.4;  // the same share of the picture
  }
  const Tally tally = MeasureSets(options, 5101, testing::Count(1, 30));
  tally.Print("lens error");
  EXPECT_LT(tally.rms(), 0.035);
  EXPECT_GE(tally.inside, static_cast<int>((testing::Full() ? 0.93 : 0.85) * tally.points));
}

TEST(Lying, ThreePhotosAreEnough) {
  SetOptions options;
  options.photos = 3;
  const Tally tally = MeasureSets(options, 5201, testing::Count(1, 30));
  tally.Print("3 photos");
  EXPECT_LT(tally.rms(), 0.015);
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
