#pragma once
// What the photos showed, for a person and as JSON ("lieflat-photo", version 1).

#include "lieflat/photo/lying.h"
#include "lieflat/photo/standing.h"

namespace lieflat {

/// The stations, the photos and what each was good for, warnings, scale, and what is not proved.
Json ToJson(const LyingResult& result);
std::string ToText(const LyingResult& result);
/// The edge's profile, what hid it, the photos, warnings, and what is not proved.
Json ToJson(const StandingResult& result);
std::string ToText(const StandingResult& result);
/// A photo judged on its own.
Json ToJson(const SeenPhoto& photo, const ShotVerdict& verdict);
std::string ToText(const SeenPhoto& photo, const ShotVerdict& verdict);

/// That accuracy on real phones is not yet proved, and how to prove it for one's own.
extern const char* const kNotProved;
/// Broken into lines of at most 79 letters, with an end of line after the last.
std::string Wrapped(const std::string& text);

/// The sheet from above with what was seen: corners with their residuals magnified, stickers, the
/// board's outline, heights. SVG.
std::string SeenSvg(const LyingResult& result, const Board& board);
/// The edge along its chord: every place found, the curve through them, departures magnified. SVG.
std::string SeenSvg(const StandingResult& result, const Board& board);

}  // namespace lieflat
