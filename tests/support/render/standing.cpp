#include <algorithm>
#include <cmath>

#include "support/render/scene.h"
#include "support/render/standing_shade.h"

namespace lieflat::testing {
namespace {

double Shape(const StandingBoard& board, double along) {
  const double u = 2.0 * along / board.size_mm.x() - 1.0;
  const double k = (u - board.kink_at) * board.size_mm.x() / 60.0;
  const double kink = board.shape[3] == 0.0 ? 0.0 : std::exp(-2.0 * k * k);
  return board.shape.dot(Eigen::Vector4d(u * u, u * u * u - u, u * u * u * u, kink));
}

/// A fixed rough line of unit root mean square, waves of 3 to 12 mm.
double Rough(double along) {
  return 0.8 * std::sin(along * 0.61 + 1.0) + 0.7 * std::sin(along * 1.37 + 2.0) +
         0.9 * std::sin(along * 2.03);
}

}  // namespace

double StandingBoard::Departure(double along) const {
  const double share = along / size_mm.x();
  return Shape(*this, along) - (1.0 - share) * Shape(*this, 0.0) -
         share * Shape(*this, size_mm.x());
}

double StandingBoard::Face(double along, double z) const {
  const double u = 2.0 * along / size_mm.x() - 1.0;
  const double rough = z < 4.0 ? rough_mm * Rough(along) * std::exp(-std::max(0.0, z) / 0.5) : 0.0;
  return Shape(*this, along) + lean * z + 0.5 * twist_mm * u * z / size_mm.y() + rough;
}

Eigen::Vector2d StandingBoard::ToEdge(const Eigen::Vector2d& world) const {
  const double c = std::cos(turned_rad), s = std::sin(turned_rad);
  const Eigen::Vector2d d = world - at_mm;
  return {c * d.x() + s * d.y() + 0.5 * size_mm.x(), -s * d.x() + c * d.y()};
}

float StandingShade(const StandingBoard& board, const Eigen::Vector2d& world) {
  const Eigen::Vector2d at = board.ToEdge(world);
  const double beyond = std::max({0.0, -at.x(), at.x() - board.size_mm.x()});
  const double away = at.y() - Shape(board, std::clamp(at.x(), 0.0, board.size_mm.x()));
  if (away < 0.0) {
    const double near = std::exp(std::min(0.0, away) / 4.0) * std::exp(-beyond / 3.0);
    return 1.0F - board.contact_dark * static_cast<float>(near);
  }
  const double cover = std::exp(-away / 60.0) * std::exp(-beyond / (2.0 + 0.2 * away));
  return 1.0F - 0.6F * static_cast<float>(cover);
}

std::optional<Met> Scene::MeetStanding(const Eigen::Vector3d& from,
                                       const Eigen::Vector3d& along) const {
  const StandingBoard& b = *standing;
  const double c = std::cos(b.turned_rad), s = std::sin(b.turned_rad);
  // In the edge's own frame: x along, y away from the phone, z up.
  const Eigen::Vector2d start = b.ToEdge(from.head<2>());
  const Eigen::Vector2d step(c * along.x() + s * along.y(), -s * along.x() + c * along.y());
  if (step.y() < 1e-3) return std::nullopt;
  // Far off the middle plane's hit: nothing of the board.
  constexpr double kReachMm = 16.0;
  const double to_plane = -start.y() / step.y();
  const double x0 = start.x() + to_plane * step.x(), z0 = from.z() + to_plane * along.z();
  if (x0 < -kReachMm || x0 > b.size_mm.x() + kReachMm || z0 < -kReachMm ||
      z0 > b.size_mm.y() + kReachMm)
    return std::nullopt;
  const auto meet = [&](double before) {
    Eigen::Vector3d p(0.0, -before, 0.0);
    for (int i = 0; i < 4; ++i) {
      const double t = (p.y() - start.y()) / step.y();
      p.x() = start.x() + t * step.x();
      p.z() = from.z() + t * along.z();
      if (i < 3) p.y() = b.Face(std::clamp(p.x(), -5.0, b.size_mm.x() + 5.0), p.z()) - before;
    }
    return p;
  };
  const auto paper = [&](const Eigen::Vector3d& p) {
    const double t = p.x() - 0.5 * b.size_mm.x();
    return sheet.Height(b.at_mm.x() + c * t - s * p.y(), b.at_mm.y() + s * t + c * p.y());
  };
  const Eigen::Vector3d p = meet(0.0);
  const auto inside = [&](const Eigen::Vector3d& at) {
    return at.x() >= 0.0 && at.x() <= b.size_mm.x() && at.z() <= b.size_mm.y() &&
           at.z() >= paper(at);
  };
  for (std::size_t i = 0; i < b.parts.size(); ++i) {
    const RenderedPart& part = b.parts[i];
    if (std::abs(p.x() - part.centre_mm.x()) > part.half_mm.x() + 3.0 * part.height_mm ||
        std::abs(p.z() - part.centre_mm.y()) > part.half_mm.y() + 4.0 * part.height_mm)
      continue;
    for (const double share : {1.0, 0.66, 0.33}) {
      const Eigen::Vector3d at = meet(share * part.height_mm);
      if (std::abs(at.x() - part.centre_mm.x()) < part.half_mm.x() &&
          std::abs(at.z() - part.centre_mm.y()) < part.half_mm.y() && at.z() > paper(at)) {
        return Met{part.colour * static_cast<float>(share), 10.0F + static_cast<float>(i)};
      }
    }
  }
  const bool bitten = std::any_of(b.bites_mm.begin(), b.bites_mm.end(), [&](double at) {
    return std::abs(p.x() - at) < 1.5 && p.z() < 2.0;
  });
  if (!inside(p) || bitten) {
    for (const double behind : {0.33, 0.66, 1.0}) {
      if (inside(meet(-behind * b.thickness_mm))) return Met{Colour(0.10F, 0.09F, 0.05F), 6.0F};
    }
    return std::nullopt;
  }
  // The glossy mask mirrors the sheet before it.
  Eigen::Vector3d mirrored = along;
  mirrored.x() = c * step.x() + s * step.y();
  mirrored.y() = s * step.x() - c * step.y();
  Colour shine = Colour::Constant(0.4F);
  if (mirrored.z() < -0.02) {
    const double t = p.x() - 0.5 * b.size_mm.x();
    const Eigen::Vector3d world(
        b.at_mm.x() + c * t - s * p.y(), b.at_mm.y() + s * t + c * p.y(), p.z());
    shine = MeetSheet(world, mirrored).colour;
  }
  return Met{b.mask * 0.9F + b.gloss * shine, 5.0F};
}

}  // namespace lieflat::testing
