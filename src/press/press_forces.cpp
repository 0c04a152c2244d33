#include "press/press_forces.h"

#include <algorithm>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "lieflat/board/mass.h"

namespace lieflat {
namespace {

std::string Label(const PressWay& way, const Board& board, Touch what, int number) {
  switch (what) {
    case Touch::kTable:
      return "table";
    case Touch::kPlate:
      return "plate";
    case Touch::kWeight:
      return fmt::format("weight {}", number + 1);
    case Touch::kBar:
      return fmt::format("bar {}",
                         Name(std::get<UnderBars>(way).edges[static_cast<std::size_t>(number)]));
    case Touch::kScrew:
      return fmt::format("hole {}", MountHoles(board)[static_cast<std::size_t>(number)]);
    case Touch::kRest:
      break;
  }
  return fmt::format("rest {}", number + 1);
}

}  // namespace

double PressingLoad(const PressWay& way, const Hold& hold, const PlateSolution& solution) {
  if (std::holds_alternative<BetweenPlates>(way)) return solution.plate_force_n;
  double load = 0.0;
  for (const Hold::Weight& weight : hold.weights) load += weight.force_n;
  for (const Hold::Bar& bar : hold.bars) load += bar.load_n;
  for (const ContactForce& contact : solution.contacts) {
    if (contact.what == Touch::kScrew) load += std::max(0.0, -contact.up_n);
  }
  return load;
}

double GroundForce(const PlateSolution& solution) {
  double sum = 0.0;
  for (const ContactForce& contact : solution.contacts) {
    const bool below = contact.what == Touch::kTable || contact.what == Touch::kRest ||
                       contact.what == Touch::kScrew;
    if (below) sum += std::max(0.0, contact.up_n);
  }
  return sum;
}

Result<std::vector<PressForce>> ForcesOnBoard(const PressWay& way,
                                              const Board& board,
                                              const Hold& hold,
                                              const Plate& plate,
                                              const PlateSolution& solution,
                                              const Calib& calib) {
  std::map<std::pair<Touch, int>, PressForce> gathered;
  std::map<std::pair<Touch, int>, double> magnitudes;
  for (const ContactForce& contact : solution.contacts) {
    const std::pair key(contact.what, contact.number);
    PressForce& force = gathered[key];
    force.up_n += contact.up_n;
    force.at_mm += contact.up_n * contact.at_mm;
    magnitudes[key] += contact.up_n;
  }
  std::vector<PressForce> forces;
  for (auto& [key, force] : gathered) {
    if (force.up_n == 0.0) continue;
    force.on = Label(way, board, key.first, key.second);
    force.at_mm /= magnitudes[key];
    forces.push_back(force);
  }
  for (std::size_t k = 0; k < hold.weights.size(); ++k) {
    // A hard weight larger than a cell acts through its contacts, a soft one as it lies.
    const int number = static_cast<int>(k);
    if (gathered.contains({Touch::kWeight, number})) continue;
    const Hold::Weight& weight = hold.weights[k];
    forces.push_back({Label(way, board, Touch::kWeight, number),
                      0.5 * (weight.low_mm + weight.high_mm),
                      -weight.force_n});
  }
  if (hold.own_weight) {
    const auto mass = DistributeMass(board, calib);
    if (!mass) return mass.error();
    forces.push_back({"own weight", mass->centre_mm, -plate.weight_n()});
  }
  return forces;
}

}  // namespace lieflat
