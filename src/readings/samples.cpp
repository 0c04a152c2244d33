#include <array>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/readings/sample.h"

#include "readings/instrument.h"
#include "readings/rows.h"
#include "readings/upright.h"

// Signs. z is positive towards the component side. A straightedge on the component face that
// touches both ends lies above the board: a gap g says that the board is g lower there, departure
// -g. On the solder face it lies below: departure +g. Where it rocks, it touches the board at p and
// stands off the ends by g0 and g1: the board at p is (1-p) g0 + p g1 nearer to the straightedge
// than its ends are, so departure + on the component face, - on the solder face.

namespace lieflat {
namespace {

using internal::Budget;
using internal::ReadRow;
using internal::UprightFigure;

struct Frame {
  const Gauge& gauge;
  const Board& board;
  const Budget& budget;
  std::string where;
  double tail_u_mm = 0.0;
};

std::vector<ErrorPart> Scaled(std::vector<ErrorPart> errors, double gain) {
  for (auto& error : errors) {
    error.gain *= gain;
  }
  return errors;
}

void Append(std::vector<ErrorPart>& errors, std::vector<ErrorPart> more) {
  errors.insert(errors.end(), more.begin(), more.end());
}

/// A table is read as if flat. What it may hide: a bow along x, one along y, a twist; each unknown,
/// smooth, no larger than the zone that holds the surface. One surface, so the errors are shared by
/// all that is read on it.
std::vector<ErrorPart> SurfaceErrors(const std::vector<Term>& terms, const Frame& frame) {
  const auto [low, high] = frame.board.Box();
  const Eigen::Vector2d size = high - low;
  const double zone = frame.budget.surface.Flatness(size.maxCoeff());
  if (!(zone > 0.0)) {
    return {};
  }
  Eigen::Vector3d gain = Eigen::Vector3d::Zero();
  for (const auto& term : terms) {
    const Eigen::Vector2d u = (term.at_mm - low).cwiseQuotient(size);
    gain.x() += term.weight * 4.0 * u.x() * (1.0 - u.x());
    gain.y() += term.weight * 4.0 * u.y() * (1.0 - u.y());
    gain.z() += term.weight * 0.5 * (2.0 * u.x() - 1.0) *
                (2.0 * u.y() - 1.0);  // corners +-1/2: a zone of 1
  }
  const std::string& surface = frame.budget.surface.name;
  constexpr auto kLaw = ErrorPart::Law::kRectangular;
  const double sign = frame.gauge.down == Side::kSolder ? 1.0 : -1.0;
  std::vector<ErrorPart> errors;
  const std::array<const char*, 3> names = {"surface bow x", "surface bow y", "surface twist"};
  for (Eigen::Index i = 0; i < 3; ++i) {
    if (gain(i) != 0.0) {
      const char* name = names.at(static_cast<std::size_t>(i));
      errors.push_back({name, kLaw, zone, fmt::format("{} ({})", name, surface), sign * gain(i)});
    }
  }
  return errors;
}

/// A straightedge's own bow, one for all edges read with it; it grows with the length in use.
ErrorPart StraightedgeError(const UprightFigure& figure, const Frame& frame) {
  const auto& surface = frame.budget.surface;
  const double sign = figure.side == Side::kComponent ? -1.0 : 1.0;
  return {surface.plain,
          ErrorPart::Law::kRectangular,
          surface.Flatness(frame.board.EdgeLength(figure.edge)),
          fmt::format("straightedge ({})", surface.name),
          sign * 4.0 * figure.share * (1.0 - figure.share)};
}

Sample UprightSample(const UprightFigure& figure, const Frame& frame) {
  Sample sample;
  const Eigen::Vector2d start = frame.board.EdgeStart(figure.edge);
  const Eigen::Vector2d end = frame.board.EdgeEnd(figure.edge);
  const double s = figure.share;
  sample.figure = Figure::kDeparture;
  sample.name = Name(figure.edge);
  if (std::abs(s - 0.5) > 1e-9) {
    sample.name += fmt::format(" at {:.0f} mm", s * (end - start).norm());
  }
  sample.where = internal::RowWhere(frame.where, figure.first, figure.index);
  sample.terms = {{start + s * (end - start), 1.0}, {start, -(1.0 - s)}, {end, -s}};
  const double sign = figure.side == Side::kComponent ? -1.0 : 1.0;
  auto first = ReadRow(figure.first, frame.budget);
  if (figure.rocking) {
    auto second = ReadRow(figure.second, frame.budget);
    sample.value_mm = -sign * ((1.0 - s) * first.value_mm + s * second.value_mm);
    Append(sample.errors, Scaled(first.errors, -sign * (1.0 - s)));
    Append(sample.errors, Scaled(second.errors, -sign * s));
  } else {
    sample.value_mm = sign * first.value_mm;
    Append(sample.errors, Scaled(first.errors, sign));
  }
  const ErrorPart straightedge = StraightedgeError(figure, frame);
  if (straightedge.size_mm > 0.0 && straightedge.gain != 0.0) {
    sample.errors.push_back(straightedge);
  }
  return sample;
}

std::string PlaceName(const GaugeRow& row) {
  return row.station.empty() ? fmt::format("x {:g} y {:g}", row.at_mm->x(), row.at_mm->y())
                             : row.station;
}

Sample HeightSample(const GaugeRow& row, std::size_t index, const Frame& frame) {
  const Gauge& gauge = frame.gauge;
  Sample sample;
  sample.figure = Figure::kHeight;
  sample.name = PlaceName(row);
  sample.where = internal::RowWhere(frame.where, row, index);
  const auto station = StationPlace(row.station, frame.board);
  sample.terms = {{station ? *station : *row.at_mm, 1.0}};
  auto reading = ReadRow(row, frame.budget);
  // The constants change the plane only, which is free; they keep heights of both kinds comparable.
  const double offset = gauge.face == Face::kOver ? frame.board.thickness_mm.value : 0.0;
  const double sign = gauge.down == Side::kSolder ? 1.0 : -1.0;
  sample.value_mm = sign * (reading.value_mm - offset - gauge.lead_tail_mm.value_or(0.0));
  sample.errors = Scaled(std::move(reading.errors), sign);
  if (frame.tail_u_mm > 0.0) {
    sample.errors.push_back(
        {"lead tails", ErrorPart::Law::kNormal, frame.tail_u_mm, "", 1.0, true});
  }
  if (gauge.rest == Rest::kPoints || gauge.rest == Rest::kTable) {
    Append(sample.errors, SurfaceErrors(sample.terms, frame));
  }
  return sample;
}

std::vector<Term> TwistTerms(const Board& board) {
  return {{board.corners_mm[0], 1.0},
          {board.corners_mm[1], -1.0},
          {board.corners_mm[2], 1.0},
          {board.corners_mm[3], -1.0}};
}

Sample TwistSample(std::string name, std::string procedure, const Frame& frame) {
  Sample sample;
  sample.name = std::move(name);
  sample.where = frame.where;
  sample.figure = Figure::kTwist;
  sample.terms = TwistTerms(frame.board);
  sample.procedure = std::move(procedure);
  return sample;
}

/// Sighted tips: over a length S the far tips part by q S / W, W the length of the edges under the
/// strips.
Sample StripSample(const StripReading& strips, const Frame& frame) {
  Sample sample = TwistSample(
      fmt::format("strips {}, {}", Name(strips.first), Name(strips.second)), "strips", frame);
  const double edge =
      0.5 * (frame.board.EdgeLength(strips.first) + frame.board.EdgeLength(strips.second));
  const double gain = edge / strips.strip_length_mm;
  sample.value_mm = gain * strips.tip_difference_mm;
  sample.errors = {{"tips sighted", ErrorPart::Law::kNormal, strips.tip_u_mm, "", gain}};
  return sample;
}

/// Three corners touch, so their heights are 0 and q is the fourth's, with its sign in q.
Sample CornerSample(const CornerReading& corner, const Frame& frame) {
  Sample sample = TwistSample(fmt::format("lift of {}", corner.corner), "production", frame);
  GaugeRow row;
  row.go_mm = corner.go_mm;
  row.no_go_mm = corner.no_go_mm;
  row.value_mm = corner.value_mm;
  row.u_mm = corner.u_mm;
  auto reading = ReadRow(row, frame.budget);
  const double side = frame.gauge.down == Side::kSolder ? 1.0 : -1.0;
  const double sign = side * (corner.corner == 'A' || corner.corner == 'C' ? 1.0 : -1.0);
  sample.value_mm = sign * reading.value_mm;
  sample.errors = Scaled(std::move(reading.errors), sign);
  if (frame.tail_u_mm > 0.0) {
    // All four corners stand on tails, or off them: four heights, each as unsure.
    sample.errors.push_back(
        {"lead tails", ErrorPart::Law::kNormal, frame.tail_u_mm, "", 2.0, true});
  }
  Append(sample.errors, SurfaceErrors(sample.terms, frame));
  return sample;
}

/// Two opposite corners low and level, the others raised and level: q = 2 (highest - lowest).
Sample RefereeSample(const RefereeReading& referee, const Frame& frame) {
  Sample sample = TwistSample(fmt::format("{} raised", referee.raised), "referee", frame);
  const double side = frame.gauge.down == Side::kSolder ? 1.0 : -1.0;
  const double gain = side * (referee.raised == "AC" ? 2.0 : -2.0);
  sample.value_mm = gain * (referee.highest_mm - referee.lowest_mm);
  for (const double sign : {1.0, -1.0}) {
    sample.errors.push_back({"as stated", ErrorPart::Law::kNormal, referee.u_mm, "", sign * gain});
  }
  Append(sample.errors, SurfaceErrors(sample.terms, frame));
  return sample;
}

std::string InstrumentNote(const Gauge& gauge, const Budget& budget) {
  const auto taken = [](bool said) { return said ? "" : " (not said, so taken)"; };
  std::string note =
      fmt::format("read with {}{}", budget.instrument.plain, taken(!gauge.instrument.empty()));
  if (budget.surface.Flatness(100.0) > 0.0) {
    note += fmt::format(" against {}{}", budget.surface.plain, taken(!gauge.surface.empty()));
  }
  return note;
}

bool OnTails(const Gauge& gauge, const Board& board) {
  return gauge.rest == Rest::kTable && gauge.down == Side::kSolder && board.populated &&
         board.mounting != "smt" && !gauge.lead_tail_mm;
}

Result<void> AddRows(const Frame& frame, std::vector<Sample>& samples) {
  const auto rows = internal::JoinOneSided(frame.gauge.rows, frame.where);
  if (!rows) {
    return rows.error();
  }
  if (frame.gauge.rest != Rest::kUpright) {
    for (std::size_t i = 0; i < rows->size(); ++i) {
      samples.push_back(HeightSample((*rows)[i], i, frame));
    }
    return {};
  }
  const auto figures = internal::ReadUpright(*rows, frame.board, frame.where);
  if (!figures) {
    return figures.error();
  }
  for (const auto& figure : *figures) {
    samples.push_back(UprightSample(figure, frame));
  }
  return {};
}

}  // namespace

Result<SampleSet> ToSamples(const Gauge& gauge,
                            const Board& board,
                            const Calib& calib,
                            std::optional<double> repeatability_mm,
                            const std::string& where) {
  SampleSet set;
  set.rest = gauge.rest;
  if (auto ok = CheckGauge(gauge, board, calib, set.notes); !ok) {
    Error error = ok.error();
    error.where = where + ", " + error.where;
    return error;
  }
  const auto budget = internal::BudgetOf(gauge, calib, repeatability_mm);
  if (!budget) {
    return budget.error();
  }
  Frame frame{gauge, board, *budget, where};
  if (OnTails(gauge, board)) {
    frame.tail_u_mm = calib.Number("gauges", "/lead_tail_widen_mm").value;
  }
  if (auto ok = AddRows(frame, set.samples); !ok) {
    return ok.error();
  }
  if (gauge.strips) {
    set.samples.push_back(StripSample(*gauge.strips, frame));
  }
  if (gauge.corner) {
    set.samples.push_back(CornerSample(*gauge.corner, frame));
  }
  if (gauge.referee) {
    set.samples.push_back(RefereeSample(*gauge.referee, frame));
  }
  Holding held{gauge.rest, gauge.down, {}};
  for (const Support& support : gauge.supports) held.supports_mm.push_back(support.at_mm);
  for (Sample& sample : set.samples) {
    sample.held = held;
    // Strips are sighted along the board held in the hand or upright, whatever else the entry says.
    if (sample.procedure == "strips") sample.held = {Rest::kUpright, gauge.down, {}};
  }
  // Sighted strips and the referee's two heights stand with their own u: no blade was in the hand.
  if (!gauge.rows.empty() || gauge.corner) set.notes.push_back(InstrumentNote(gauge, *budget));
  return set;
}

}  // namespace lieflat
