// The table of DEVELOPERS.md: plate beside CalculiX with geometric nonlinearity, case by case.
//
//   tools/compare_solids [--small | --joints]    the large cases, or the small ones, or parts on
//                                               joints alone; markdown on stdout

#include <cstdio>
#include <string_view>

#include <fmt/format.h>

#include "calculix/cases.h"
#include "calculix/cost.h"

namespace lieflat::testing {
namespace {

bool PrintCase(const SolidCase& which, int rows_in) {
  const auto both = Compare(which);
  if (!both) {
    fmt::print(stderr, "{}: {}\n", which.name, both.error().Text());
    return false;
  }
  const Pair force = both->PlateForce(), highest = both->Highest();
  const Pair strain = both->LargestStrain(rows_in);
  constexpr double kMicro = 1e6, kPercent = 100;
  fmt::print(
      "| {} | {} | {:.3f} / {:.3f} | {:.1f} / {:.1f} ({:+.1f} %) | {:.1f} % | {}{} | {:.3f} / "
      "{:.1f} | {:.0e} |\n",
      which.name,
      which.hold.plate ? fmt::format("{:.3f} / {:.3f} ({:+.2f} %)",
                                     force.plate,
                                     force.solid,
                                     kPercent * force.OffShare())
                       : fmt::format("balance {:.0e}", both->balance_n),
      highest.plate,
      highest.solid,
      kMicro * strain.plate,
      kMicro * strain.solid,
      kPercent * strain.OffShare(),
      kPercent * both->StrainField(rows_in).rms,
      both->passes,
      both->verified ? "" : " (not verified)",
      both->plate_cpu_s,
      both->solid.cpu_s,
      both->solid.residual);
  std::fflush(stdout);
  return both->verified;
}

bool PrintJoints(const PartSpec& part) {
  const SolidCase which = PartInFourLineBend(part);
  const auto both = Compare(which);
  if (!both) {
    fmt::print(stderr, "{}: {}\n", which.name, both.error().Text());
    return false;
  }
  const auto joints = both->Joints(0);
  const auto beside = both->StrainBeside(0, kBesideFromMm, kBesideToMm);
  constexpr double kPercent = 100;
  fmt::print(
      "| {} | {:.3f} / {:.3f} ({:+.1f} %) | {:.3f} / {:.3f} ({:+.1f} %) | {:.3f} / {:.3f} ({:+.1f} "
      "%) | {:.1f} % / {:.1f} % | "
      "{:.1f} % / {:.1f} % | {:.2f} / {:.1f} |\n",
      which.name,
      joints.axial_rms_n.plate,
      joints.axial_rms_n.solid,
      kPercent * joints.axial_rms_n.OffShare(),
      joints.largest_axial_n.plate,
      joints.largest_axial_n.solid,
      kPercent * joints.largest_axial_n.OffShare(),
      joints.shear_rms_n.plate,
      joints.shear_rms_n.solid,
      kPercent * joints.shear_rms_n.OffShare(),
      kPercent * joints.axial_difference,
      kPercent * joints.shear_difference,
      kPercent * beside.largest,
      kPercent * beside.rms,
      both->plate_cpu_s,
      both->solid.cpu_s);
  std::fflush(stdout);
  return both->verified;
}

void PrintHead() {
  fmt::print(
      "| case | force of the plate N, plate / solid | highest mm | largest strain ue "
      "| field rms | passes | "
      "CPU s, plate / solid a pass | residual |\n|---|---|---|---|---|---|---|---|\n");
}

void PrintJointHead() {
  fmt::print(
      "\n| case | joint axial rms N | largest axial N | shear rms N | rms difference, axial / "
      "shear | strain beside it, largest / rms "
      "difference | CPU s |\n|---|---|---|---|---|---|---|\n");
}

bool PrintSmall() {
  PrintHead();
  bool good = true;
  for (const SolidCase& which : SmallCases()) {
    good = PrintCase(which, kRowsIn) && good;
  }
  PrintJointHead();
  return PrintJoints(SmallPart()) && good;
}

bool PrintPartsOnJoints() {
  PrintJointHead();
  bool good = true;
  for (const PartSpec& part : FineParts()) {
    good = PrintJoints(part) && good;
  }
  return good;
}

bool PrintLarge() {
  PrintHead();
  bool good = true;
  for (const Warp::Kind kind : {Warp::Kind::kBow, Warp::Kind::kTwist, Warp::Kind::kDome}) {
    for (const LargeCase& large : LargeCases(kind, kFiner)) {
      good = PrintCase(large.which, kRowsIn) && good;
    }
  }
  return PrintPartsOnJoints() && good;
}

bool PrintCost() {
  const auto cost = CostOf(FullBoard());
  if (!cost) {
    fmt::print(stderr, "{}\n", cost.error().Text());
    return false;
  }
  fmt::print(
      "\n{}: {} unknowns, {:.2f} s of CPU and {:.0f} MB; CalculiX {:.1f} s a pass and {:.0f} MB "
      "({} nodes, {} passes{})\n",
      FullBoard().name,
      cost->plate_unknowns,
      cost->plate.cpu_s,
      cost->plate.peak_mb,
      cost->solid.cpu_s,
      cost->solid.peak_mb,
      cost->solid_nodes,
      cost->passes,
      cost->verified ? "" : ", not verified");
  return true;
}

}  // namespace
}  // namespace lieflat::testing

int main(int count, char** words) {
  using namespace lieflat::testing;
  if (count > 1 && std::string_view(words[1]) == "--joints") {
    return PrintPartsOnJoints() ? 0 : 1;
  }
  const bool small = count > 1 && std::string_view(words[1]) == "--small";
  if (small) {
    return PrintSmall() ? 0 : 1;
  }
  const bool alike = PrintLarge();
  return PrintCost() && alike ? 0 : 1;
}
