// Random boards, warped and held at random: an answer in balance and without a gap or a pull, or a
// reason why there is none; and the same answer from finer cells.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>

#include <Eigen/QR>
#include <gtest/gtest.h>

#include "random_plate.h"
#include "support/counts.h"

namespace lieflat {
namespace {

// Promised of every answer.
constexpr double kBalance = 1e-6;   // of what presses the board down
constexpr double kDeepest = -1e-5;  // mm
constexpr double kPull = -1e-6;     // N: rounding of stiffness times gap

/// Forces and moments of everything that acts on the board, of the largest of them.
double OutOfBalance(const Plate& plate, const Hold& hold, const PlateSolution& solution) {
  double sum = 0.0, all = 0.0;
  for (const ContactForce& contact : solution.contacts) {
    sum += contact.up_n;
    all += std::abs(contact.up_n);
  }
  if (hold.own_weight) {
    sum -= plate.weight_n();
    all += plate.weight_n();
  }
  for (const Hold::Weight& weight : hold.weights) {
    // A rigid weight larger than a cell acts through its contacts.
    double through = 0.0;
    for (const ContactForce& contact : solution.contacts) {
      if (contact.what == Touch::kWeight &&
          contact.number == static_cast<int>(&weight - hold.weights.data()))
        through -= contact.up_n;
    }
    if (through == 0.0) sum -= weight.force_n;
    all += weight.force_n;
  }
  for (const Hold::Force& force : hold.forces) {
    sum += force.up_n;
    all += std::abs(force.up_n);
  }
  // Sums over thousands of vertices round to some 1e-7 N however little acts: a weightless board
  // that is hardly touched is held to what a board of 100 g is.
  constexpr double kHardlyAnything = 1.0;  // N
  return std::abs(sum) / std::max(all, kHardlyAnything);
}

TEST(RandomBoards, AnAnswerIsInBalanceOrThereIsAReason) {
  const int boards = testing::Count(60, 2000);
  int answered = 0, refused = 0, lost = 0;
  std::map<std::string, int> reasons;
  for (int i = 0; i < boards; ++i) {
    Random random(std::uint64_t{6364136223846793005} * static_cast<std::uint64_t>(i + 1));
    const testing::RandomPlate board = testing::MakeRandomPlate(random);
    SCOPED_TRACE("board " + std::to_string(i) + ": " + board.text);
    auto plate = Plate::Make(board.model);
    if (!plate) {
      ++refused;
      ++reasons[plate.error().where];
      continue;
    }
    const auto solution = plate->Solve(board.shape, board.hold);
    if (!solution) {
      EXPECT_NE(solution.error().code, ErrorCode::kInternal);
      EXPECT_FALSE(solution.error().message.empty());
      ++refused;
      ++reasons[solution.error().where];
      if (solution.error().where == "pressing") {
        ++lost;
        std::printf("board %d: %s\n  %s\n", i, board.text.c_str(), solution.error().Text().c_str());
      }
      continue;
    }
    ++answered;
    EXPECT_LE(OutOfBalance(*plate, board.hold, *solution), kBalance);
    EXPECT_GE(solution->worst_gap_mm, kDeepest);
    for (const ContactForce& contact : solution->contacts) {
      const bool pushes_up = contact.what == Touch::kTable || contact.what == Touch::kRest;
      const bool two_sided = contact.what == Touch::kScrew ||
                             (contact.what == Touch::kRest &&
                              board.hold.rests[static_cast<std::size_t>(contact.number)].two_sided);
      const double push = pushes_up ? contact.up_n : -contact.up_n;
      EXPECT_TRUE(two_sided || push >= kPull) << push;
    }
  }
  std::printf("%d boards: %d answered, %d refused", boards, answered, refused);
  for (const auto& [where, count] : reasons) std::printf(", %s %d", where.c_str(), count);
  std::printf("\n");
  // A board that is only given up on is rare: fewer than one in fifty.
  EXPECT_LE(lost * 50, boards);
  EXPECT_GE(answered * 2, boards);
}

/// What is left of values at points when their best plane is taken out.
Eigen::VectorXd LessItsPlane(const std::vector<Eigen::Vector2d>& points,
                             const Eigen::VectorXd& values) {
  Eigen::MatrixX3d plane(values.size(), 3);
  for (Eigen::Index i = 0; i < values.size(); ++i)
    plane.row(i) << 1.0, points[static_cast<std::size_t>(i)].transpose();
  return values - plane * plane.colPivHouseholderQr().solve(values);
}

/// How far two answers lie apart, beside how a board moves as a whole: rms over rms of all bending.
/// A board that rocks stands on single points of a slanted corner, which grid lines cut off in
/// steps: how it leans is not the mesh's to say to better than a cell.
double Apart(const Plate& coarse,
             const PlateSolution& coarse_answer,
             const Plate& fine,
             const PlateSolution& fine_answer) {
  const std::vector<Eigen::Vector2d>& points = coarse.points();
  const auto count = static_cast<Eigen::Index>(points.size());
  Eigen::VectorXd moved(count), off(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Eigen::Vector2d& at = points[static_cast<std::size_t>(i)];
    moved(i) = fine.Displacement(fine_answer, at);
    off(i) = coarse.Displacement(coarse_answer, at) - moved(i);
  }
  const double bent_mm = LessItsPlane(points, moved).norm() / std::sqrt(count);
  constexpr double kSeenMm = 0.1;  // less bend is not to be told from none by a blade
  return LessItsPlane(points, off).norm() / std::sqrt(count) / std::max(bent_mm, kSeenMm);
}

// Cells of half the size say the same, on the way from cells a little larger than the program's
// own.
TEST(RandomBoards, FinerCellsSayTheSame) {
  constexpr double kCell = 8, kFine = 4;
  const int boards = testing::Count(4, 50);
  int compared = 0, only_one = 0;
  int alike = 0;
  double worst = 0.0, squares = 0.0;
  for (int i = 0; compared < boards; ++i) {
    Random random(std::uint64_t{2862933555777941757} * static_cast<std::uint64_t>(i + 1));
    testing::RandomPlate board = testing::MakeRandomPlate(random);
    SCOPED_TRACE("board " + std::to_string(i) + ": " + board.text);
    board.model.cell_mm = kCell;
    board.model.fine_mm = kFine;
    const auto coarse = Plate::Make(board.model);
    const auto fine = Plate::Make(testing::Refined(board.model, 0.5));
    if (!coarse || !fine) continue;
    const auto coarse_answer = coarse->Solve(board.shape, board.hold);
    const auto fine_answer = fine->Solve(board.shape, board.hold);
    if (!coarse_answer || !fine_answer) {
      only_one += coarse_answer.has_value() != fine_answer.has_value() ? 1 : 0;
      continue;
    }
    ++compared;
    const double apart = Apart(*coarse, *coarse_answer, *fine, *fine_answer);
    constexpr double kAlike = 0.05;
    alike += apart <= kAlike ? 1 : 0;
    worst = std::max(worst, apart);
    squares += apart * apart;
  }
  std::printf(
      "%d boards compared: rms difference of the bend %.2f %%, worst board %.2f %%; %d "
      "answered on one mesh alone\n",
      compared,
      100 * std::sqrt(squares / compared),
      100 * worst,
      only_one);
  // The rest are boards loaded beside a slanted corner, which the grid cuts off in steps.
  EXPECT_GE(10 * alike, 9 * compared);
  constexpr double kWorst = 0.2;
  EXPECT_LE(worst, kWorst);
  EXPECT_LE(20 * only_one, compared + only_one);
}

}  // namespace
}  // namespace lieflat
