#include "calculix/contact_set.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace lieflat::testing {
namespace {

// CalculiX prints seven digits: of heights up to 10 mm, and of forces up to some 10 N.
constexpr double kGapMm = 2e-6;
constexpr double kPullN = 1e-5;

Error NoVertex(const char* what, const Eigen::Vector2d& at_mm) {
  return Error{ErrorCode::kInternal,
               what,
               fmt::format("({:.6g}, {:.6g}) mm is no vertex of the grid", at_mm.x(), at_mm.y()),
               "put it on grid lines"};
}

double PullOf(const Place& place, const SolidAnswer& answer) {
  const auto vertex = static_cast<std::size_t>(place.vertex);
  return place.touches ? -answer.up_n[vertex] * place.pushes : 0.0;
}

double BeyondOf(const Place& place, const SolidAnswer& answer) {
  const auto vertex = static_cast<std::size_t>(place.vertex);
  return place.touches ? 0.0 : (place.height_mm - answer.height_mm[vertex]) * place.pushes;
}

}  // namespace

Result<ContactSet> ContactSet::Make(const SolidModel& model,
                                    const Hold& hold,
                                    const std::vector<ContactForce>& contacts) {
  ContactSet set;
  for (int vertex = 0; vertex < model.vertices(); ++vertex) {
    if (hold.table) {
      set.places_.push_back({Touch::kTable, 0, vertex, 0.0, 1.0, false});
    }
    if (hold.plate && hold.plate->gap_mm) {
      set.places_.push_back({Touch::kPlate, 0, vertex, *hold.plate->gap_mm, -1.0, false});
    }
  }
  for (std::size_t i = 0; i < hold.rests.size(); ++i) {
    const Hold::Rest& rest = hold.rests[i];
    const int vertex = model.VertexAt(rest.at_mm);
    if (vertex < 0) {
      return NoVertex("rest", rest.at_mm);
    }
    set.places_.push_back({Touch::kRest,
                           static_cast<int>(i),
                           vertex,
                           rest.height_mm,
                           rest.two_sided ? 0.0 : 1.0,
                           rest.two_sided});
  }
  for (const ContactForce& contact : contacts) {
    const int vertex = model.VertexAt(contact.at_mm);
    const auto place = std::find_if(set.places_.begin(), set.places_.end(), [&](const Place& at) {
      return at.what == contact.what && at.number == contact.number && at.vertex == vertex;
    });
    if (place == set.places_.end()) {
      return NoVertex("contact", contact.at_mm);
    }
    place->touches = true;
  }
  return set;
}

std::vector<HeldVertex> ContactSet::Held() const {
  std::vector<HeldVertex> held;
  for (const Place& place : places_) {
    if (place.touches) {
      held.push_back({place.vertex, place.height_mm});
    }
  }
  return held;
}

// All that pull or lie beyond change at once in the first passes; should they go round in a circle,
// only the worst of each kind change from then on.
bool ContactSet::Verify(const SolidAnswer& answer) {
  constexpr int kAllAtOnce = 3;
  constexpr double kWorst = 0.5;
  double most_pull = 0.0, most_beyond = 0.0;
  for (const Place& place : places_) {
    most_pull = std::max(most_pull, PullOf(place, answer));
    most_beyond = std::max(most_beyond, BeyondOf(place, answer));
  }
  const double worst = ++passes_ > kAllAtOnce ? kWorst : 0.0;
  for (Place& place : places_) {
    const bool lets_go = PullOf(place, answer) > std::max(kPullN, worst * most_pull);
    const bool takes_up = BeyondOf(place, answer) > std::max(kGapMm, worst * most_beyond);
    if (lets_go || takes_up) {
      place.touches = takes_up;
    }
  }
  return most_pull <= kPullN && most_beyond <= kGapMm;
}

}  // namespace lieflat::testing
