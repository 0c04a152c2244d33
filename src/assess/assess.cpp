#include <algorithm>
#include <cmath>

#include <Eigen/QR>
#include <fmt/format.h>

#include "lieflat/assess/assessment.h"

#include "assess/without_weight.h"

namespace lieflat {
namespace {

constexpr std::int64_t kSecondsPerYear = 31556952;  // of the Gregorian calendar

int YearOf(const Instant& now) {
  return 1970 + static_cast<int>(now.unix_seconds / kSecondsPerYear);
}

/// The newest first look that was logged, sorted again with today's numbers.
Result<std::optional<FirstLookAnswer>> NewestFirstLook(const Log& log, const Calib& calib) {
  for (auto entry = log.entries.rbegin(); entry != log.entries.rend(); ++entry) {
    if (entry->voided || entry->kind != "glance") continue;
    const auto look = ParseFirstLook(entry->fields.at("look"), entry->id);
    if (!look) return look.error();
    auto answer = SortAtFirstLook(*look, calib);
    if (!answer) return answer.error();
    return std::optional<FirstLookAnswer>(std::move(*answer));
  }
  return std::optional<FirstLookAnswer>();
}

/// Curvature both ways is known when an edge of each pair is.
bool CurvatureKnown(const Flatness& flatness) {
  const auto known = [&](Edge edge) {
    return flatness.edges[static_cast<std::size_t>(edge)].known;
  };
  return (known(Edge::kAB) || known(Edge::kCD)) && (known(Edge::kBC) || known(Edge::kDA));
}

/// As read, and as the surface says it should have read there and then.
std::vector<UsedReading> ReadingsUsed(const SampleSet& as_read,
                                      const SampleSet& samples,
                                      const Surface& surface) {
  // Heights are known up to a plane: it is fitted out for the comparison.
  const auto n = static_cast<Eigen::Index>(samples.samples.size());
  Eigen::VectorXd modelled(n), gap(n);
  Eigen::MatrixXd plane = Eigen::MatrixXd::Zero(n, 3);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Sample& sample = samples.samples[static_cast<std::size_t>(i)];
    modelled(i) = 0.0;
    for (const Term& term : sample.terms) {
      modelled(i) += term.weight * surface.Height(term.at_mm);
      plane.row(i) += term.weight * Eigen::RowVector3d(100.0, term.at_mm.x(), term.at_mm.y());
    }
    if (sample.response.size() > 0) modelled(i) += sample.response * surface.mean;
    gap(i) = sample.value_mm - modelled(i);
  }
  modelled += plane * plane.completeOrthogonalDecomposition().solve(gap);
  std::vector<UsedReading> used;
  for (Eigen::Index i = 0; i < n; ++i) {
    const Sample& sample = samples.samples[static_cast<std::size_t>(i)];
    const double read = as_read.samples[static_cast<std::size_t>(i)].value_mm;
    used.push_back(
        {sample.where, sample.name, read, sample.sd_mm(), read - (sample.value_mm - modelled(i))});
  }
  return used;
}

/// A doubtful reading is named by what was written down, not by what is left of it without weight
/// and lean.
void NameAsRead(const SampleSet& as_read,
                const SampleSet& samples,
                std::vector<Outlier>& outliers) {
  for (Outlier& outlier : outliers) {
    for (std::size_t i = 0; i < samples.samples.size(); ++i) {
      const Sample& sample = samples.samples[i];
      if (sample.name != outlier.name || sample.where != outlier.where ||
          sample.value_mm != outlier.value_mm)
        continue;
      const double taken_off = as_read.samples[i].value_mm - sample.value_mm;
      outlier.value_mm += taken_off;
      outlier.others_suggest_mm += taken_off;
      break;
    }
  }
}

/// Bow and twist as the readings show them, with weight and lean in.
Result<void> SeeAsItLay(const SampleSet& as_read,
                        const Calib& calib,
                        const AssessOptions& options,
                        Assessment& out) {
  SurfaceOptions quick = options.surface;
  quick.draws = quick.surface_draws = 200;  // no interval is taken from it
  const auto surface = FitSurface(out.board, as_read, calib, quick);
  if (!surface) return surface.error();
  const Flatness seen = MeasureFlatness(out.board, as_read, *surface, 0.0, calib);
  if (seen.bow_measured) out.weight->bow_percent = seen.bow_percent;
  if (seen.twist_measured) out.weight->twist_percent = seen.twist_percent;
  return {};
}

/// A verdict that one doubtful reading decides is no verdict: it is too close to call until that
/// reading was taken again.
Result<void> HoldAgainstOutliers(const SampleSet& samples,
                                 double sag_mm,
                                 const Calib& calib,
                                 const AssessOptions& options,
                                 Assessment& out) {
  if (out.surface->outliers.empty()) return {};
  SampleSet without = samples;
  for (const Outlier& outlier : out.surface->outliers) {
    std::erase_if(without.samples, [&](const Sample& sample) {
      return sample.name == outlier.name && sample.where == outlier.where;
    });
  }
  auto surface = FitSurface(out.board, without, calib, options.surface);
  if (!surface) return surface.error();
  const Flatness other = MeasureFlatness(out.board, without, *surface, sag_mm, calib);
  const Outlier& worst = out.surface->outliers.front();
  Flatness& flatness = out.flatness;
  if (flatness.bow_measured && other.bow_measured) {
    out.notes.push_back(
        fmt::format("without the reading at {} the bow would be {:.2f} % instead of {:.2f} %",
                    worst.name,
                    other.bow_percent,
                    flatness.bow_percent));
  }
  const auto doubt = [](Verdict& verdict, Verdict without_it) {
    if (verdict != without_it && (verdict == Verdict::kWithin || verdict == Verdict::kOver))
      verdict = Verdict::kUndecided;
  };
  doubt(flatness.bow_verdict, other.bow_verdict);
  doubt(flatness.twist_verdict, other.twist_verdict);
  flatness.next_reading =
      fmt::format("read {} again: the other readings suggest {:.2f} mm there, not {:.2f} mm",
                  worst.name,
                  worst.others_suggest_mm,
                  worst.value_mm);
  return {};
}

/// What pressing flat does, by the plate; where the plate finds no answer, the curvature of the
/// surface alone rates the parts, and that is said.
Result<void> PressFlat(const Calib& calib, const AssessOptions& options, Assessment& out) {
  auto flattening = FlattenBetweenPlates(out.board, *out.surface, calib, options.flatten);
  if (flattening) {
    out.flattening = std::move(*flattening);
    return {};
  }
  const Error& error = flattening.error();
  if (WasStopped(error) || error.code == ErrorCode::kBadUse) return error;
  out.notes.push_back(fmt::format(
      "parts are rated by the curvature next to them, not by pressing the whole board: {}",
      error.message));
  return {};
}

/// What pressing flat adds at a place on a face, by the curvature of the surface alone.
StrainWhenFlat StrainOf(const Assessment& assessment) {
  if (!assessment.curvature_known || !assessment.surface) return {};
  return [&assessment](const Eigen::Vector2d& at_mm, Side face) {
    const Surface& surface = *assessment.surface;
    const Curvature now = surface.basis.SecondDerivatives(at_mm) * surface.mean;
    return std::optional<Eigen::Vector3d>(
        SurfaceStrain(-now, assessment.board.thickness_mm.value, face));
  };
}

/// That pressing flat damages at least one part, draw by draw where there are draws.
double AnyDamaged(const Assessment& out) {
  if (out.flattening) {
    std::vector<Eigen::VectorXd> strains;
    std::vector<PartLimit> limits;
    for (std::size_t i = 0; i < out.parts.size(); ++i) {
      strains.push_back(out.flattening->parts[i].strain.draws);
      limits.push_back(LimitOf(out.parts[i]));
    }
    return AnyDamageProbability(strains, limits);
  }
  std::vector<double> chances;
  for (const PartRating& part : out.parts) chances.push_back(part.damage_probability);
  return AnyDamageProbability(chances);
}

/// What a board that was not read yet has: a first look perhaps, its limit, and what to read.
void NothingRead(const std::optional<FirstLookAnswer>& first_look,
                 const Calib& calib,
                 Assessment& out) {
  out.first_look = first_look;
  out.flatness.limit = LimitOf(out.board, calib);
  out.flatness.not_measured = {
      "bow: needs the gap under a straightedge along each edge, the board held upright",
      "twist: needs two straight strips along DA and BC, sighted"};
  out.flatness.next_reading = out.flatness.not_measured.front();
}

/// The surface that explains the readings, its figures, and which readings stand out.
Result<void> MeasureShape(const Selection& selection,
                          const Calib& calib,
                          const AssessOptions& options,
                          Assessment& out) {
  out.read = true;
  out.read_at = selection.newest;
  out.held = selection.held;
  auto weighed = WithoutItsWeight(out.board, selection.samples, calib, options.weight, out.notes);
  if (!weighed) return weighed.error();
  const SampleSet& samples = weighed->samples;
  auto surface = FitSurface(out.board, samples, calib, options.surface);
  if (!surface) return surface.error();
  out.surface = std::move(*surface);
  NameAsRead(selection.samples, samples, out.surface->outliers);
  out.flatness = MeasureFlatness(out.board, samples, *out.surface, weighed->sag_bound_mm, calib);
  out.weight = weighed->share;
  if (auto seen = SeeAsItLay(selection.samples, calib, options, out); !seen) return seen.error();
  out.used = ReadingsUsed(selection.samples, samples, *out.surface);
  if (auto held = HoldAgainstOutliers(samples, weighed->sag_bound_mm, calib, options, out); !held)
    return held.error();
  out.curvature_known = CurvatureKnown(out.flatness);
  return {};
}

/// Strain, share and rating of every part, by the curvature alone or as pressed flat.
void RateAllParts(const Instant& now, const Calib& calib, Assessment& out) {
  Surface flat(SurfaceBasis{out.board});
  flat.mean = Eigen::VectorXd::Zero(flat.basis.size());
  flat.coefficient_draws = Eigen::MatrixXd::Zero(flat.basis.size(), 1);
  out.parts = RateParts(out.board,
                        out.surface ? *out.surface : flat,
                        out.curvature_known,
                        YearOf(now),
                        calib,
                        out.flattening ? &*out.flattening : nullptr,
                        LimitFactors(out.marks));
  out.any_damage_probability = AnyDamaged(out);
}

/// The options side by side, what is recommended, what to do next.
void Choose(
    const Log& log, const Bench& bench, const Calib& calib, const Instant& now, Assessment& out) {
  if (out.read) {
    const OptionInputs inputs{out.board,
                              out.flatness,
                              out.parts,
                              out.any_damage_probability,
                              out.marks,
                              LaminateOf(out.board, calib, now),
                              bench.skills,
                              bench.tools};
    out.options = ListOptions(inputs, calib);
    out.night_gain_mm = NightGain(inputs, calib);
  }
  out.recommended = Recommend(out.board,
                              out.works_now,
                              out.flatness,
                              out.parts,
                              out.marks,
                              out.options,
                              bench.skills,
                              calib);
  out.next = NextStepOf(log, out.flatness, out.recommended, calib);
}

}  // namespace

Result<Assessment> Assess(const BoardFolder::State& state,
                          const Bench& bench,
                          const Calib& calib,
                          const Instant& now,
                          const AssessOptions& options) {
  Assessment out;
  out.board = state.board;
  if (!options.worth.empty()) out.board.worth = options.worth;
  out.works_now = state.log.WorksNow(state.board.works);
  out.works_tested_at = state.log.WorksTestedAt();
  out.calib_origin = calib.origin();
  out.notes = state.log.warnings;

  auto first_look = NewestFirstLook(state.log, calib);
  if (!first_look) return first_look.error();
  auto selection = SelectSamples(state, bench, calib);
  if (!selection) return selection.error();
  out.passed_over = selection->passed_over;
  out.notes.insert(out.notes.end(), selection->warnings.begin(), selection->warnings.end());

  if (selection->samples.samples.empty()) {
    NothingRead(*first_look, calib, out);
  } else if (auto shape = MeasureShape(*selection, calib, options, out); !shape) {
    return shape.error();
  }
  if (options.press_flat && out.curvature_known && !out.board.parts.empty()) {
    if (auto pressed = PressFlat(calib, options, out); !pressed) return pressed.error();
  }
  out.marks = JudgeMarks(MarksOf(state.log, calib), out.board, out.works_now, StrainOf(out), calib);
  RateAllParts(now, calib, out);
  Choose(state.log, bench, calib, now, out);
  return out;
}

}  // namespace lieflat
