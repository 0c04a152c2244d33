// The sheets as they come out of the printer: the PDF, painted by poppler at 254 dots an inch, is
// what the rendered photos show in place of the layout. What is measured from them must be right.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <memory>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "lieflat/photo/lying.h"
#include "lieflat/photo/standing.h"
#include "lieflat/sheet/print.h"

#include "support/counts.h"
#include "support/fixed_clock.h"
#include "support/pdf_page.h"
#include "support/render/sets.h"

namespace lieflat {
namespace {

using testing::GreyPage;
using testing::SetOptions;

const Printed& Sheets() {
  static const Printed printed = Printed::Of(Calib::Embedded());
  return printed;
}

/// Reflectance of the page at a place of the mat's frame: bilinear between the dots' middles.
std::function<float(double, double)> PageOf(SheetKind kind, const MatLayout& mat) {
  const auto pdf = SheetsPdf({kind}, "a3", Calib::Embedded(), testing::FixedClock().Now());
  EXPECT_TRUE(pdf);
  if (!pdf) return {};
  const auto page = std::make_shared<GreyPage>(testing::RenderPdf(*pdf, 1, 254));
  EXPECT_GT(page->width, 0) << "is pdftoppm installed?";
  if (page->width == 0) return {};
  const Eigen::Vector2d origin = mat.origin_on_page_mm;
  return [page, origin](double x, double y) {
    constexpr double kDotsPerMm = 10.0;
    const double u = std::clamp((x + origin.x()) * kDotsPerMm - 0.5, 0.0, page->width - 1.001);
    const double v =
        std::clamp(page->height - (y + origin.y()) * kDotsPerMm - 0.5, 0.0, page->height - 1.001);
    const int i = static_cast<int>(u), j = static_cast<int>(v);
    const double a = u - i, b = v - j;
    const double grey = (1 - b) * ((1 - a) * page->At(i, j) + a * page->At(i + 1, j)) +
                        b * ((1 - a) * page->At(i, j + 1) + a * page->At(i + 1, j + 1));
    constexpr double kInk = 0.045, kPaper = 0.82;
    return static_cast<float>(kInk + (kPaper - kInk) * grey / 255.0);
  };
}

SetOptions Usual(int photos) {
  SetOptions options;
  options.photos = photos;
  if (!testing::Full()) {
    options.width = 1600;
    options.height = 1200;
  }
  return options;
}

SeenPhoto See(const Picture& grey, std::size_t i) {
  return LookAt(grey, "photo " + std::to_string(i + 1), Sheets());
}

TEST(PrintedPage, TheLaySheetGivesHeights) {
  const SetOptions options = Usual(5);
  Random random(9401);
  auto set = testing::DrawLyingSet(Calib::Embedded(), options, random);
  set.scene.sheet.page = PageOf(SheetKind::kLay, set.scene.sheet.layout);
  ASSERT_TRUE(set.scene.sheet.page);
  testing::Photograph(set, options, random);
  std::vector<SeenPhoto> photos;
  for (std::size_t i = 0; i < set.files.size(); ++i)
    photos.push_back(See(*DecodePicture(set.files[i], "photo", Colours::kGrey), i));
  LyingRequest request;
  request.held.rest = Rest::kUpright;
  const auto result = MeasureLying(photos,
                                   testing::DescribedBoard(Calib::Embedded(), options.board_mm),
                                   request,
                                   Sheets(),
                                   Calib::Embedded());
  ASSERT_TRUE(result) << result.error().Text();
  EXPECT_EQ(result->sheet, "lay-a3");
  const auto n = static_cast<Eigen::Index>(result->stations.size());
  ASSERT_GE(n, 12);
  Eigen::MatrixX3d plane(n, 3);
  Eigen::VectorXd off(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Station& station = result->stations[static_cast<std::size_t>(i)];
    const int id = *Sheets().stickers.IdOf(station.name);
    plane.row(i) << 1.0, testing::TruePlace(*set.scene.board, id).transpose();
    off(i) = station.height_mm - testing::TrueHeight(*set.scene.board, id);
  }
  off -= plane * plane.colPivHouseholderQr().solve(off);
  const double rms = std::sqrt(off.squaredNorm() / static_cast<double>(n));
  EXPECT_LT(rms, testing::Full() ? 0.008 : 0.020);  // as from the layout
  // The print's own scales are part of the truth: y over x.
  EXPECT_NEAR(result->print_y, set.scene.sheet.scale_y / set.scene.sheet.scale_x, 3e-4);
  std::printf("lay sheet: %ld points, rms %.4f mm\n", static_cast<long>(n), rms);
}

TEST(PrintedPage, TheStandSheetGivesTheBow) {
  const SetOptions options = Usual(3);
  Random random(9402);
  auto set = testing::DrawStandingSet(Calib::Embedded(), options, random);
  set.scene.sheet.page = PageOf(SheetKind::kStand, set.scene.sheet.layout);
  ASSERT_TRUE(set.scene.sheet.page);
  testing::Photograph(set, options, random);
  std::vector<StandingPhoto> photos;
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    StandingPhoto photo;
    photo.weakest = WeakestChannel(*DecodePicture(set.files[i], "photo", Colours::kColour));
    photo.seen = See(photo.weakest, i);
    photos.push_back(std::move(photo));
  }
  StandingRequest request;
  request.held.rest = Rest::kUpright;
  const auto result = MeasureStanding(photos,
                                      testing::DescribedBoard(Calib::Embedded(), options.board_mm),
                                      request,
                                      Sheets(),
                                      Calib::Embedded());
  ASSERT_TRUE(result) << result.error().Text();
  double worst = 0.0;
  for (const StandingPoint& point : result->points) {
    worst =
        std::max(worst, std::abs(point.departure_mm + set.scene.standing->Departure(point.at_mm)));
  }
  EXPECT_LT(worst, 0.10);  // mm; the bow's error over many sets is held in standing_test.cpp
  std::printf("stand sheet: worst departure off by %.4f mm\n", worst);
}

}  // namespace
}  // namespace lieflat
