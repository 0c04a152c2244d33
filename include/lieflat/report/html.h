#pragma once
// One self-contained page: no script, no network, printable on A4 and Letter, readable at 390 px
// and in greyscale.

#include <string>
#include <vector>

#include "lieflat/assess/assessment.h"

namespace lieflat {

struct HistoryLine {
  std::string id, at, text;
  bool voided = false;
};

/// @param followed  its holds and readings over days, for the chart; null: none.
/// @param calib  the one that the assessment was made with: names and sources of the part classes.
std::string ReportHtml(const Assessment& assessment,
                       const std::vector<HistoryLine>& history,
                       const Instant& now,
                       const Calib& calib = Calib::Embedded(),
                       const FollowedBoard* followed = nullptr);

// The drawings alone, as <svg> elements. They carry no style of their own; DrawingStyle() is the
// content of the <style> that must stand beside them.
/// One edge against a ruler, the limit as a stack of blades at the widest gap. All edges of a board
/// share one scale.
std::string EdgeSvg(const Assessment& assessment, Edge edge);
/// The board as a topographic sheet; empty without a surface.
std::string SheetSvg(const Assessment& assessment);
/// Readings over days, with holds and what is foreseen.
std::string TrendSvg(const FollowedBoard& board);
std::string DrawingStyle();

}  // namespace lieflat
