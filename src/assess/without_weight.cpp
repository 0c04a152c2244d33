#include "assess/without_weight.h"

#include <algorithm>

#include <fmt/format.h>

#include "lieflat/board/mass.h"

namespace lieflat {
namespace {

/// Less of a bow or twist than this showing in the readings is worth a word.
constexpr double kShownEnough = 0.7;

void SayWhatIsHidden(const Unweighed& unweighed, std::vector<std::string>& notes) {
  const auto say = [&](const char* what, double shown) {
    if (shown >= kShownEnough) return;
    notes.push_back(fmt::format(
        "lying as it does, its own weight hides {:.0f} % of {}: read it upright, or on three "
        "points set in a fifth from the edges",
        100.0 * (1.0 - shown),
        what));
  };
  say("a bow along AB and CD", unweighed.bow_ab_shown);
  say("a bow along BC and DA", unweighed.bow_bc_shown);
  say("a twist", unweighed.twist_shown);
}

/// The weight stays in: an upper estimate of what it does widens the verdicts.
Result<WithoutWeight> WeightStaysIn(const Board& board,
                                    const SampleSet& samples,
                                    const Calib& calib,
                                    const Error& why,
                                    std::vector<std::string>& notes) {
  const auto mass = DistributeMass(board, calib);
  if (!mass) return mass.error();
  const Uncertain sag = LargestSag(board, *mass, calib);
  WithoutWeight out;
  out.samples = samples;
  out.sag_bound_mm = sag.value + 2.0 * sag.u;
  out.share.lay = true;
  out.share.sag_mm = sag.value;
  out.share.sag_u_mm = sag.u;
  notes.push_back(
      fmt::format("its own weight could not be taken out of the readings: {}", why.message));
  return out;
}

}  // namespace

Result<WithoutWeight> WithoutItsWeight(const Board& board,
                                       const SampleSet& samples,
                                       const Calib& calib,
                                       const WeightOptions& options,
                                       std::vector<std::string>& notes) {
  auto unweighed = TakeWeightOut(board, samples, calib, options);
  if (!unweighed) {
    if (unweighed.error().code != ErrorCode::kNoFigure) return unweighed.error();
    return WeightStaysIn(board, samples, calib, unweighed.error(), notes);
  }
  WithoutWeight out;
  out.samples = std::move(unweighed->samples);
  out.share.lay = samples.weight_in();
  out.share.sag_mm = unweighed->largest_sag_mm;
  out.share.sag_u_mm = unweighed->largest_sag_u_mm;
  if (out.share.lay) {
    if (unweighed->mass_assumed)
      notes.emplace_back(
          "its mass was not weighed: 6 to 10 kg/m2 assumed for what its weight does");
    SayWhatIsHidden(*unweighed, notes);
  }
  return out;
}

}  // namespace lieflat
