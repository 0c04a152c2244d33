// Part classes and their size variants: calib/part_classes.json.

#include <gtest/gtest.h>

#include "lieflat/joints/rating.h"

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

Part PartOf(const std::string& name, double length, double width) {
  Part part;
  part.ref = "X1";
  part.part_class = name;
  if (length > 0) part.size_mm = Eigen::Vector2d(length, width);
  return part;
}

constexpr double kTol = 1e-12;  // a product with 1e-6

TEST(PartClass, LimitsByClassAndSize) {
  struct Row {
    const char* name;
    double length, width, allowed_ue, median_ue;
  };
  // Working limits of calib/part_classes.json (all priors): a ball-grid body over 35 mm and a chip
  // capacitor up to 2.0 mm (size 0805) have limits of their own; without a size the class's general
  // limit holds.
  const std::vector<Row> rows = {{"pbga", 0, 0, 500, 1300},
                                 {"pbga", 35, 35, 500, 1300},
                                 {"pbga", 27, 40, 400, 1100},
                                 {"fcbga", 37.5, 37.5, 400, 1100},
                                 {"csp", 10, 10, 400, 1100},
                                 {"cbga", 25, 25, 250, 700},
                                 {"mlcc", 0, 0, 750, 2500},
                                 {"mlcc", 3.2, 1.6, 750, 2500},
                                 {"mlcc", 2.0, 1.25, 1000, 4500},
                                 {"mlcc", 1.25, 2.0, 1000, 4500},
                                 {"qfp", 28, 28, 1000, 3000},
                                 {"tsop", 20, 12, 800, 3000},
                                 {"slot", 138, 12, 1500, 4000}};
  for (const Row& row : rows) {
    SCOPED_TRACE(row.name);
    const PartClass made = ClassOf(PartOf(row.name, row.length, row.width), calib());
    EXPECT_NEAR(made.allowed_strain, row.allowed_ue * 1e-6, kTol);
    EXPECT_NEAR(made.median_strain, row.median_ue * 1e-6, kTol);
  }
}

TEST(PartClass, EveryClassIsWhole) {
  const auto names = calib().Keys("part_classes", "/classes");
  EXPECT_EQ(names.size(), 25U);
  for (const std::string& name : names) {
    SCOPED_TRACE(name);
    const PartClass made = ClassOf(PartOf(name, 0, 0), calib());
    EXPECT_FALSE(made.plain.empty());
    EXPECT_FALSE(made.trade.empty());
    EXPECT_FALSE(made.source.empty());
    EXPECT_GT(made.allowed_strain, 0.0);
    EXPECT_GT(made.median_strain, made.allowed_strain)
        << "what is allowed lies below what harms half of them";
    EXPECT_GT(made.log_sd, 0.0);
    EXPECT_FALSE(made.area_array && made.chip);
  }
}

TEST(PartClass, AnUnknownClassIsOurOwnMistake) {
  EXPECT_ANY_THROW(static_cast<void>(ClassOf(PartOf("bga", 0, 0), calib())));
}

}  // namespace
}  // namespace lieflat
