// Random boards, warped and held at random: an answer in balance and without a gap or a pull, or a
// reason why there is none; and the same answer from finer cells.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>

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
  constexpr double kHardlyAnything = 0.1;  // N: under this rounding shows
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

/// How far two answers lie apart, over the largest move of either.
struct Apart {
  double heights = 0.0;  ///< the largest difference of height among the coarser one's points
  double most_mm = 0.0;  ///< the largest move from the stress-free shape
};

Apart HeightsApart(const Plate& coarse,
                   const PlateSolution& coarse_answer,
                   const Plate& fine,
                   const PlateSolution& fine_answer) {
  Apart apart;
  for (const Eigen::Vector2d& at : coarse.points()) {
    const double moved = coarse.Displacement(coarse_answer, at);
    apart.most_mm = std::max(apart.most_mm, std::abs(moved));
    apart.heights = std::max(
        apart.heights,
        std::abs(coarse.Displacement(coarse_answer, at) - fine.Displacement(fine_answer, at)));
  }
  return apart;
}

// Cells of half the size say the same. Both meshes read the same shape and carry the same loads.
TEST(RandomBoards, FinerCellsSayTheSame) {
  const int boards = testing::Count(4, 50);
  int compared = 0;
  for (int i = 0; compared < boards; ++i) {
    Random random(std::uint64_t{2862933555777941757} * static_cast<std::uint64_t>(i + 1));
    const testing::RandomPlate board = testing::MakeRandomPlate(random);
    SCOPED_TRACE("board " + std::to_string(i) + ": " + board.text);
    auto coarse = Plate::Make(board.model);
    auto fine = Plate::Make(testing::Refined(board.model, 0.5));
    if (!coarse || !fine) continue;
    const auto coarse_answer = coarse->Solve(board.shape, board.hold);
    const auto fine_answer = fine->Solve(board.shape, board.hold);
    if (!coarse_answer || !fine_answer) {
      std::printf("board %d %s: %s | %s\n",
                  i,
                  board.text.c_str(),
                  coarse_answer ? "answered" : coarse_answer.error().Text().c_str(),
                  fine_answer ? "answered" : fine_answer.error().Text().c_str());
      continue;
    }
    ++compared;
    const Apart apart = HeightsApart(*coarse, *coarse_answer, *fine, *fine_answer);
    std::printf(
        "board %d: %s: apart %.4f of %.3f mm (%.2f %%), gap %.4f %.4f, plate %.3f %.3f N, unknowns "
        "%d %d\n",
        i,
        board.text.c_str(),
        apart.heights,
        apart.most_mm,
        100 * apart.heights / apart.most_mm,
        coarse_answer->gap_mm(),
        fine_answer->gap_mm(),
        coarse_answer->plate_force_n,
        fine_answer->plate_force_n,
        coarse->unknowns(),
        fine->unknowns());
  }
}

}  // namespace
}  // namespace lieflat
