#include "lieflat/trend/change.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include <Eigen/QR>
#include <fmt/format.h>

#include "lieflat/base/check.h"
#include "lieflat/base/statistics.h"

namespace lieflat {
namespace {

constexpr double kDecidingShare = 0.032;
constexpr double kOthersShare = 0.008;

/// The mean of the repeats of one reading, with the variance of that mean.
struct Mean {
  double value_mm = 0.0;
  double variance = 0.0;
  int count = 0;
};

struct Place {
  std::string name;
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();  ///< of a height
  Figure figure = Figure::kHeight;
  Mean before, after;
};

/// What differs from one reading of the same place to the next.
double RepeatVariance(const Sample& sample) {
  double variance = 0.0;
  for (const auto& part : sample.errors) {
    if (part.shared.empty() && !part.of_tool) {
      variance += part.sd_mm() * part.sd_mm();
    }
  }
  // A sample that brings nothing but its tool's errors: better too much noise than none.
  return variance > 0.0 ? variance : sample.sd_mm() * sample.sd_mm();
}

/// Two samples are the same reading when this text is: the figure, its form, its places to 0.1 mm,
/// its weights.
std::string KeyOf(const Sample& sample) {
  std::string key = fmt::format("{} {}", static_cast<int>(sample.figure), sample.procedure);
  for (const auto& term : sample.terms) {
    key += fmt::format(" {:.1f},{:.1f}*{:.4f}", term.at_mm.x(), term.at_mm.y(), term.weight);
  }
  return key;
}

std::string NameOf(const Sample& sample) {
  switch (sample.figure) {
    case Figure::kHeight:
      return sample.name;
    case Figure::kDeparture:
      return "bow " + sample.name;
    case Figure::kTwist:
      return sample.procedure == "corners" ? "twist" : fmt::format("twist ({})", sample.procedure);
  }
  return sample.name;
}

void AddTo(Mean& mean, const Sample& sample) {
  mean.value_mm += sample.value_mm;
  mean.variance += RepeatVariance(sample);
  ++mean.count;
}

void Divide(Mean& mean) {
  mean.value_mm /= mean.count;
  mean.variance /= static_cast<double>(mean.count) * mean.count;
}

/// The readings that both times have, in the order of the earlier.
std::vector<Place> InCommon(const SampleSet& before, const SampleSet& after) {
  std::vector<Place> places;
  std::map<std::string, std::size_t> index;
  for (const auto& sample : before.samples) {
    const auto [at, is_new] = index.try_emplace(KeyOf(sample), places.size());
    if (is_new) {
      places.push_back({NameOf(sample), sample.terms.front().at_mm, sample.figure, {}, {}});
    }
    AddTo(places[at->second].before, sample);
  }
  for (const auto& sample : after.samples) {
    if (const auto at = index.find(KeyOf(sample)); at != index.end()) {
      AddTo(places[at->second].after, sample);
    }
  }
  std::erase_if(places, [](const Place& place) { return place.after.count == 0; });
  for (auto& place : places) {
    Divide(place.before);
    Divide(place.after);
  }
  return places;
}

/// A weighted sum of heights, as one figure of both times.
Place Combine(const std::string& name,
              Figure figure,
              const std::vector<Place>& heights,
              const Eigen::VectorXd& weights) {
  Place sum{name, Eigen::Vector2d::Zero(), figure, {0.0, 0.0, 1}, {0.0, 0.0, 1}};
  for (std::size_t i = 0; i < heights.size(); ++i) {
    const double weight = weights(static_cast<Eigen::Index>(i));
    sum.before.value_mm += weight * heights[i].before.value_mm;
    sum.before.variance += weight * weight * heights[i].before.variance;
    sum.after.value_mm += weight * heights[i].after.value_mm;
    sum.after.variance += weight * weight * heights[i].after.variance;
  }
  return sum;
}

class Heights {
 public:
  Heights(const Board& board, std::vector<Place> places)
      : board_(board), places_(std::move(places)), used_(places_.size(), false) {}

  /// Departures of the edges and q, from the stations that are there; then residuals of the plane
  /// for the rest.
  std::vector<Place> Figures() {
    std::vector<Place> figures;
    for (const Edge edge : kEdges) {
      const Eigen::Vector2d middle = 0.5 * (board_.EdgeStart(edge) + board_.EdgeEnd(edge));
      Add(fmt::format("bow {}", Name(edge)),
          Figure::kDeparture,
          {{middle, 1.0}, {board_.EdgeStart(edge), -0.5}, {board_.EdgeEnd(edge), -0.5}},
          figures);
    }
    const auto& corners = board_.corners_mm;
    Add("twist",
        Figure::kTwist,
        {{corners[0], 1.0}, {corners[1], -1.0}, {corners[2], 1.0}, {corners[3], -1.0}},
        figures);
    AddResiduals(figures);
    return figures;
  }

 private:
  [[nodiscard]] std::optional<std::size_t> At(const Eigen::Vector2d& at_mm) const {
    constexpr double kSameMm = 0.1;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      if ((places_[i].at_mm - at_mm).norm() < kSameMm) {
        return i;
      }
    }
    return std::nullopt;
  }

  void Add(const std::string& name,
           Figure figure,
           const std::vector<Term>& terms,
           std::vector<Place>& figures) {
    Eigen::VectorXd weights = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(places_.size()));
    std::vector<std::size_t> taken;
    for (const auto& term : terms) {
      const auto at = At(term.at_mm);
      if (!at) {
        return;
      }
      weights(static_cast<Eigen::Index>(*at)) += term.weight;
      taken.push_back(*at);
    }
    for (const std::size_t at : taken) {
      used_[at] = true;
    }
    figures.push_back(Combine(name, figure, places_, weights));
  }

  void AddResiduals(std::vector<Place>& figures) const {
    const auto n = static_cast<Eigen::Index>(places_.size());
    constexpr Eigen::Index kLeast = 4;  // three stations are all plane
    if (n < kLeast) {
      return;
    }
    Eigen::MatrixX3d design(n, 3);
    for (Eigen::Index i = 0; i < n; ++i) {
      design.row(i) << 1.0, places_[static_cast<std::size_t>(i)].at_mm.transpose();
    }
    const Eigen::MatrixXd residual =
        Eigen::MatrixXd::Identity(n, n) -
        design * design.completeOrthogonalDecomposition().pseudoInverse();
    constexpr double kLeastVisible =
        0.05;  // a station that the plane follows shows next to nothing
    for (Eigen::Index i = 0; i < n; ++i) {
      const Place& place = places_[static_cast<std::size_t>(i)];
      if (!used_[static_cast<std::size_t>(i)] && residual(i, i) > kLeastVisible) {
        figures.push_back(
            Combine("height " + place.name, Figure::kHeight, places_, residual.row(i).transpose()));
      }
    }
  }

  const Board& board_;
  std::vector<Place> places_;
  std::vector<bool> used_;
};

std::vector<Place> FiguresOf(const Board& board, std::vector<Place> places) {
  std::vector<Place> heights;
  std::vector<Place> figures;
  for (auto& place : places) {
    (place.figure == Figure::kHeight ? heights : figures).push_back(std::move(place));
  }
  for (auto& figure : Heights(board, std::move(heights)).Figures()) {
    figures.push_back(std::move(figure));
  }
  return figures;
}

double LargestMean(const Place& place) {
  return std::abs(0.5 * (place.before.value_mm + place.after.value_mm));
}

ChangedFigure Judged(const Place& place, double chance) {
  const double sd = std::sqrt(place.before.variance + place.after.variance);
  ChangedFigure figure;
  figure.name = place.name;
  figure.before_mm = place.before.value_mm;
  figure.after_mm = place.after.value_mm;
  figure.change_mm = figure.after_mm - figure.before_mm;
  figure.noise_mm = NormalQuantile(1.0 - 0.5 * chance) * sd;
  figure.changed = std::abs(figure.change_mm) > figure.noise_mm;
  return figure;
}

}  // namespace

double DetectableChange(double sd, int n1, int n2, std::optional<double> degrees_of_freedom) {
  LIEFLAT_CHECK(n1 > 0 && n2 > 0, "each mean has at least one reading");
  constexpr double kUpper = 0.975;
  const double quantile =
      degrees_of_freedom ? StudentQuantile(kUpper, *degrees_of_freedom) : NormalQuantile(kUpper);
  return quantile * sd * std::sqrt(1.0 / n1 + 1.0 / n2);
}

std::vector<FigureRead> FiguresRead(const Board& board, const SampleSet& samples) {
  std::vector<FigureRead> figures;
  for (const Place& place : FiguresOf(board, InCommon(samples, samples)))
    figures.push_back({place.name, place.before.value_mm, std::sqrt(place.before.variance)});
  return figures;
}

Result<Change> CompareReadings(const Board& board,
                               const SampleSet& before,
                               const SampleSet& after) {
  if (before.rest != after.rest) {
    return Error{ErrorCode::kNoFigure,
                 "readings",
                 fmt::format("taken {} before and {} after, so the board's weight acts differently",
                             Name(before.rest),
                             Name(after.rest)),
                 "read it again the way it was read before"};
  }
  auto places = FiguresOf(board, InCommon(before, after));
  if (places.empty()) {
    return Error{ErrorCode::kNoFigure,
                 "readings",
                 "the two have no figure in common",
                 "read the same places in the same form, four heights at least"};
  }
  std::stable_sort(places.begin(), places.end(), [](const Place& one, const Place& other) {
    return LargestMean(one) > LargestMean(other);
  });
  Change change;
  const auto others = static_cast<double>(places.size() - 1);
  for (std::size_t i = 0; i < places.size(); ++i) {
    change.figures.push_back(Judged(places[i], i == 0 ? kDecidingShare : kOthersShare / others));
    change.changed = change.changed || change.figures.back().changed;
  }
  change.notes.emplace_back(
      "noise is what differs between readings; the errors of tool and surface come back each time "
      "and "
      "are left out");
  return change;
}

}  // namespace lieflat
