#include "lieflat/press/way.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/board/polygon.h"

namespace lieflat {
namespace {

constexpr double kStandardGravity = 9.80665;  // m/s2
constexpr double kMostLoadN = 5000.0;         // half a tonne: a slip of the decimal mark beyond
constexpr double kMostGapMm = 100.0;
constexpr double kMostShimMm = 20.0;
constexpr std::size_t kMostWeights = 50;
constexpr std::size_t kFewestScrews = 3;

template <class... Of>
struct Each : Of... {
  using Of::operator()...;
};
template <class... Of>
Each(Of...) -> Each<Of...>;

Error Refuse(std::string where, std::string message, std::string remedy) {
  return {ErrorCode::kRefused, std::move(where), std::move(message), std::move(remedy)};
}

std::optional<Error> LoadProblem(const std::string& where, double load_n) {
  if (load_n > 0.0 && load_n <= kMostLoadN) return std::nullopt;
  return Refuse(where,
                fmt::format("{:.6g} N is outside 0 to {:.0f} N", load_n, kMostLoadN),
                "10 N is the weight of about one kilogram");
}

std::optional<Error> Problem(const BetweenPlates& plates) {
  if (!plates.gap_mm) return LoadProblem("load_n", plates.load_n);
  if (*plates.gap_mm > 0.0 && *plates.gap_mm <= kMostGapMm) return std::nullopt;
  return Refuse("gap_mm",
                fmt::format("{:.4g} mm is outside 0 to {:.0f} mm", *plates.gap_mm, kMostGapMm),
                "the gap is what is left of the bend; to press out all of it takes forces without "
                "bound");
}

std::optional<Error> Problem(const UnderWeights& under, const Board& board) {
  if (under.weights.empty() || under.weights.size() > kMostWeights) {
    return Refuse(
        "weights",
        fmt::format("{} weights; 1 to {} are worked with", under.weights.size(), kMostWeights),
        "give each its mass, place and footprint");
  }
  for (std::size_t i = 0; i < under.weights.size(); ++i) {
    const UnderWeights::Weight& weight = under.weights[i];
    const std::string where = fmt::format("weight {}", i + 1);
    if (auto problem = LoadProblem(where, weight.mass_kg * kStandardGravity)) return problem;
    if (!(weight.size_mm.minCoeff() > 0.0)) {
      return Refuse(where,
                    fmt::format("its footprint {:.4g} x {:.4g} mm has no area",
                                weight.size_mm.x(),
                                weight.size_mm.y()),
                    "measure what touches the board");
    }
    if (!OnBoard(board, weight.at_mm)) {
      return Refuse(where,
                    fmt::format("its middle {:.4g},{:.4g} mm is not on the board",
                                weight.at_mm.x(),
                                weight.at_mm.y()),
                    "give a place in mm from corner A");
    }
  }
  return std::nullopt;
}

std::optional<Error> Problem(const UnderBars& under) {
  if (under.edges.empty())
    return Refuse("bars", "no bar is given", "name an edge: AB, BC, CD or DA");
  std::set<Edge> seen;
  for (const Edge edge : under.edges) {
    if (!seen.insert(edge).second)
      return Refuse(fmt::format("bar {}", Name(edge)), "is given twice", "one bar an edge");
  }
  return LoadProblem("load_n", under.load_n);
}

std::optional<Error> Problem(const OnStandOffs& mount, const Board& board) {
  const std::vector<int> holes = MountHoles(board);
  std::vector<std::string> names;
  names.reserve(holes.size());
  for (const int hole : holes) names.push_back(fmt::format("{}", hole));
  for (const auto& [hole, shim] : mount.shims_mm) {
    const std::string where = fmt::format("shim {}", hole);
    if (std::find(holes.begin(), holes.end(), hole) == holes.end()) {
      return Refuse(where,
                    "no mounting hole has this number",
                    names.empty() ? "the board's description has no mounting holes"
                                  : "one of " + Join(names, ", "));
    }
    if (!(std::abs(shim) <= kMostShimMm)) {
      return Refuse(
          where,
          fmt::format("{:.4g} mm is outside -{:.0f} to {:.0f} mm", shim, kMostShimMm, kMostShimMm),
          "give the height over the other stand-offs");
    }
  }
  if (holes.size() >= kFewestScrews) return std::nullopt;
  return Error{
      ErrorCode::kNoFigure,
      "holes_mm",
      fmt::format(
          "the board has {} mounting holes; it takes {} to hold it", holes.size(), kFewestScrews),
      "add the places of its mounting holes to the description"};
}

/// The bar lies on the board's rim, its middle line a little inside the edge.
Hold::Bar BarAlong(const Board& board, Edge edge, double load_n, double inset_mm) {
  const Eigen::Vector2d along = (board.EdgeEnd(edge) - board.EdgeStart(edge)).normalized();
  const Eigen::Vector2d inward(-along.y(), along.x());  // corners run counter-clockwise
  return {
      board.EdgeStart(edge) + inset_mm * inward, board.EdgeEnd(edge) + inset_mm * inward, load_n};
}

}  // namespace

const char* Name(const PressWay& way) {
  return std::visit(Each{[](const BetweenPlates&) { return "plates"; },
                         [](const UnderWeights&) { return "weights"; },
                         [](const UnderBars&) { return "clamps"; },
                         [](const OnStandOffs&) { return "mount"; }},
                    way);
}

std::vector<int> MountHoles(const Board& board) {
  std::vector<int> numbers;
  for (std::size_t i = 0; i < board.holes.size(); ++i) {
    if (board.holes[i].use == "mount") numbers.push_back(static_cast<int>(i) + 1);
  }
  return numbers;
}

Result<void> CheckWay(const PressWay& way, const Board& board) {
  auto problem =
      std::visit(Each{[](const BetweenPlates& plates) { return Problem(plates); },
                      [&](const UnderWeights& weights) { return Problem(weights, board); },
                      [](const UnderBars& bars) { return Problem(bars); },
                      [&](const OnStandOffs& mount) { return Problem(mount, board); }},
                 way);
  if (problem) return *std::move(problem);
  return {};
}

Hold HoldAt(const PressWay& way,
            const Board& board,
            const HeightField& heights,
            double warp_mm,
            double share,
            Side up,
            const Calib& calib) {
  Hold hold;
  hold.up = up;
  const auto plates = [&](const BetweenPlates& between) {
    hold.plate = Hold::TopPlate{};
    if (between.gap_mm) {
      // Steps shorten towards the end, where the force climbs.
      const double left = (1.0 - share) * (1.0 - share);
      hold.plate->gap_mm = *between.gap_mm + left * std::max(0.0, warp_mm - *between.gap_mm);
    } else {
      hold.plate->load_n = share * between.load_n;
    }
  };
  const auto weights = [&](const UnderWeights& under) {
    for (const UnderWeights::Weight& weight : under.weights) {
      hold.weights.push_back({share * weight.mass_kg * kStandardGravity,
                              weight.at_mm - 0.5 * weight.size_mm,
                              weight.at_mm + 0.5 * weight.size_mm,
                              weight.rigid});
    }
  };
  const auto bars = [&](const UnderBars& under) {
    const double inset = calib.Number("press", "/bar_inset_mm").value;
    for (const Edge edge : under.edges)
      hold.bars.push_back(BarAlong(board, edge, share * under.load_n, inset));
  };
  const auto mount = [&](const OnStandOffs& on) {
    hold.table = false;
    for (const int hole : MountHoles(board)) {
      const Eigen::Vector2d at = board.holes[static_cast<std::size_t>(hole) - 1].centre_mm;
      const auto shim = on.shims_mm.find(hole);
      const double wanted = shim != on.shims_mm.end() ? shim->second : 0.0;
      const double free = (up == Side::kComponent ? 1.0 : -1.0) * heights(at);
      hold.screws.push_back({at, free + share * (wanted - free)});
    }
  };
  std::visit(Each{plates, weights, bars, mount}, way);
  return hold;
}

Hold UnforcedOnStandOffs(const Board& board, Side up) {
  Hold hold;
  hold.up = up;
  hold.table = false;
  for (const int hole : MountHoles(board))
    hold.rests.push_back({board.holes[static_cast<std::size_t>(hole) - 1].centre_mm});
  return hold;
}

}  // namespace lieflat
