#pragma once
// Rendered standing sets, looked at and measured as the program does it.

#include <gtest/gtest.h>

#include "lieflat/photo/standing.h"

#include "support/counts.h"
#include "support/render/sets.h"

namespace lieflat::testing {

inline const Printed& Sheets() {
  static const Printed printed = Printed::Of(Calib::Embedded());
  return printed;
}

inline std::vector<StandingPhoto> LookStanding(const RenderedSet& set) {
  std::vector<StandingPhoto> photos;
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    const std::string name = "photo " + std::to_string(i + 1);
    const auto picture = DecodePicture(set.files[i], name, Colours::kColour);
    EXPECT_TRUE(picture) << picture.error().Text();
    StandingPhoto photo;
    photo.weakest = WeakestChannel(*picture);
    photo.seen = LookAt(photo.weakest, name, Sheets());
    photos.push_back(std::move(photo));
  }
  return photos;
}

/// Edge AB of a board of the options' size.
inline Result<StandingResult> MeasureStandingSet(const std::vector<StandingPhoto>& photos,
                                                 const SetOptions& options,
                                                 Side seen = Side::kComponent) {
  StandingRequest request;
  request.held.rest = Rest::kUpright;
  request.seen = seen;
  return MeasureStanding(photos,
                         DescribedBoard(Calib::Embedded(), options.board_mm),
                         request,
                         Sheets(),
                         Calib::Embedded());
}

/// The largest departure of the true edge from its chord, signed, away from the phone.
inline double TrueBow(const StandingBoard& board) {
  double largest = 0.0;
  for (double at = 0.0; at <= board.size_mm.x(); at += 0.25) {
    const double off = board.Departure(at);
    if (std::abs(off) > std::abs(largest)) largest = off;
  }
  return largest;
}

/// 12 megapixels in the full form, 2 in daily work and wherever `small`.
inline SetOptions StandingPhotos(int photos, bool small = false) {
  SetOptions options;
  options.photos = photos;
  if (small || !Full()) {
    options.width = 1600;
    options.height = 1200;
  }
  return options;
}

}  // namespace lieflat::testing
