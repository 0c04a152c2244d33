#pragma once
// An assessment for a terminal of 80 columns, and other plain texts.

#include <string>

#include "lieflat/assess/lot.h"

namespace lieflat {

/// The first five lines answer: do you need it flat, what would be gained, what is risked, which
/// part is worst, what to do now.
/// @param calib  the one that the assessment was made with: names of the part classes.
std::string AssessmentText(const Assessment& assessment, const Calib& calib = Calib::Embedded());
std::string FirstLookText(const FirstLookAnswer& answer);
/// Five lines to paste into a sale listing.
std::string SaleText(const Assessment& assessment, const Calib& calib = Calib::Embedded());
/// A label for a board kept for parts: usable, suspect from the bend, missing, damaged.
std::string SparesText(const Assessment& assessment, const Calib& calib = Calib::Embedded());
/// One mark of damage, or (empty id) all of them, the board's number first.
std::string DamageText(const Assessment& assessment,
                       const std::string& id,
                       const Calib& calib = Calib::Embedded());
std::string TrendText(const FollowedBoard& board);
std::string LotText(const Lot& lot);
std::string LotCsv(const Lot& lot);

/// Greedy line filling at `width` columns (code points), continuation lines indented.
std::string Wrap(const std::string& text, int width, int first_indent, int next_indent);

}  // namespace lieflat
