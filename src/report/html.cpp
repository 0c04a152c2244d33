// The page: five answers, the two figures, each edge against a ruler, the board as a sheet, the
// parts, and all that a careful reader asks next.

#include "lieflat/report/html.h"

#include <algorithm>

#include <fmt/format.h>

#include "report/edges.h"
#include "report/html_parts.h"
#include "report/sheet.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat {
namespace report {
namespace {

std::string LabelOf(const Board& board) {
  return board.label.empty() ? "Board without a label" : board.label;
}

std::string Head(const Assessment& a) {
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
      "'unsafe-inline'; img-src data:\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
      "<title>{}: how flat it is</title>\n<style>{}{}</style>\n</head>\n<body>\n",
      Escape(LabelOf(a.board)),
      PageStyle(),
      DrawingStyle());
}

std::string Opening(const Assessment& a, const Calib& calib) {
  std::string out = fmt::format(
      "<header>\n<h1>{}</h1>\n<p class=\"sub\">{}, {} · {}</p>\n</header>\n<dl "
      "class=\"answers\">\n",
      Escape(LabelOf(a.board)),
      Escape(SizeWords(a.board)),
      MountingWords(a.board),
      TestedWords(a));
  for (const auto& [question, answer] : FiveAnswers(a, calib)) {
    out += fmt::format(
        "<div><dt>{}</dt><dd>{}</dd></div>\n", Escape(question), Escape(Typographic(answer)));
  }
  return out + "</dl>\n";
}

/// One of the two figures, large, with interval, limit and verdict.
std::string Figure(const std::string& name,
                   bool measured,
                   const Printed& printed,
                   const std::string& where,
                   const Limit& limit,
                   Verdict verdict) {
  std::string out = fmt::format("<div><h3>{}</h3>\n", name);
  if (measured) {
    out += fmt::format(
        "<p class=\"figure-big\"><b>{} %</b></p>\n<p>{} to {} % (95 % interval){}</p>\n",
        printed.value,
        printed.low,
        printed.high,
        where.empty() ? "" : "<br/>" + where);
  } else {
    out += "<p class=\"figure-big\">not measured yet</p>\n";
  }
  out += fmt::format("<p>limit {} %", Plainly(limit.percent));
  if (measured && verdict == Verdict::kNotMeasured)
    out += fmt::format(": <span class=\"verdict\">{}</span>", kNotAllEdges);
  else if (measured)
    out += ": " + VerdictHtml(verdict);
  return out + "</p></div>\n";
}

std::string HowRead(const Assessment& a) {
  const Flatness& f = a.flatness;
  std::string out;
  if (!a.held.empty()) out += fmt::format("{}. ", Escape(Upper(HowWords(a))));
  if (const std::string lay = AsItLayWords(a); !lay.empty()) out += Escape(lay) + " ";
  if (f.twist_measured && !f.twist_procedure.empty())
    out += fmt::format("Twist {}. ", Escape(ProcedureWords(f.twist_procedure)));
  if (f.flatness_measured) {
    out += fmt::format(
        "Whole board: {} over the best plane, {} between two planes (flatness, ISO 1101). ",
        Print(f.ls_mm, f.ls95_mm).WithUnit("mm"),
        Print(f.zone_mm, f.zone95_mm).WithUnit("mm"));
  }
  return out.empty() ? "" : fmt::format("<p class=\"small\">{}</p>\n", out);
}

std::string Figures(const Assessment& a) {
  const Flatness& f = a.flatness;
  std::string out = "<div class=\"figures\">\n";
  const bool all =
      std::all_of(f.edges.begin(), f.edges.end(), [](const EdgeBow& edge) { return edge.known; });
  out += Figure(f.bow_measured && !all ? "Bow, the largest of the edges read"
                                       : "Bow, the largest of the edges",
                f.bow_measured,
                Print(f.bow_percent, f.bow_percent95, f.limit.percent),
                fmt::format("{}, {}", Name(f.bow_edge), TowardsWords(f.bow_towards)),
                f.limit,
                f.bow_verdict);
  out += Figure("Twist",
                f.twist_measured,
                Print(f.twist_percent, f.twist_percent95, f.limit.percent),
                HighCorners(f),
                f.limit,
                f.twist_verdict);
  out += "</div>\n" + HowRead(a);
  out += fmt::format("<p class=\"small\">Limit: {}.", Escape(f.limit.source));
  if (!f.limit.meaning.empty()) out += fmt::format(" {}", Escape(Upper(f.limit.meaning)));
  if (!a.board.corners_are_outline) {
    out +=
        " The outline is no rectangle: bow and twist are between the corners that were named, by "
        "agreement.";
  }
  return out + "</p>\n";
}

std::string EdgeFigure(const Assessment& a, const EdgeBow& edge) {
  std::string words =
      fmt::format("<h3>{} · {} mm</h3>\n", Name(edge.edge), Plainly(edge.length_mm));
  const std::string limit = fmt::format("<p class=\"limit-words\">limit {} mm = {} %</p>\n",
                                        Rounded(LimitGap(a, edge), 2),
                                        Plainly(a.flatness.limit.percent));
  if (edge.known) {
    const Side towards = edge.percent < 0.0 ? Side::kSolder : Side::kComponent;
    words += fmt::format("<p>gap {}<br/>{} %, {}</p>\n{}",
                         PrintGap(edge, a.flatness.limit).WithUnit("mm"),
                         Print(std::abs(edge.percent), edge.percent95).value,
                         TowardsWords(towards),
                         limit);
  } else {
    words += limit;
  }
  const char* kind = edge.verdict == Verdict::kOver     ? " over"
                     : edge.verdict == Verdict::kWithin ? " within"
                                                        : "";
  words += fmt::format("<p class=\"verdict{}\">{}</p>\n",
                       edge.known ? kind : "",
                       EdgeSentence(edge, a.flatness.limit));
  return fmt::format("<figure class=\"edge\">\n{}<figcaption>\n{}</figcaption>\n</figure>\n",
                     EdgeSvg(a, edge.edge),
                     words);
}

std::string Edges(const Assessment& a) {
  if (a.flatness.edges.empty()) return "";
  std::string out = fmt::format(
      "<section>\n<h2>Edges against a ruler</h2>\n<p class=\"small\">Gaps are drawn {} times "
      "larger than they are; the blades "
      "are the limit, set where the gap is widest; dark band and bracket: 95 % interval. The board "
      "lies with the face down "
      "that shows the gap.</p>\n",
      Plainly(ScaleOfEdges(a).factor));
  for (const EdgeBow& edge : a.flatness.edges) out += EdgeFigure(a, edge);
  return out + EdgesTableHtml(a) + "</section>\n";
}

std::string TitleBlock(const Assessment& a) {
  const Flatness& f = a.flatness;
  std::string out = "<dl class=\"title-block\">\n";
  const auto row = [&](const char* name, const std::string& text) {
    if (!text.empty())
      out += fmt::format("<div><dt>{}</dt><dd>{}</dd></div>\n", name, Escape(text));
  };
  row("board", LabelOf(a.board));
  row("read", a.read_at ? a.read_at->Short() : "");
  row("held", a.held);
  row("weight", f.weight_removed ? "taken out" : "in the figures");
  row("surface", a.surface->order);
  return out + "</dl>\n";
}

std::string Legend(const SheetDrawing& sheet) {
  const auto line = [](const char* kind) {
    return fmt::format("<path class=\"contour {}\" d=\"M1,8H35\"/>", kind);
  };
  const auto group = [](const std::string& title, const std::string& lines) {
    return fmt::format("<div><h3>{}</h3>\n<ul class=\"legend\">\n{}</ul></div>\n", title, lines);
  };
  std::string lines;
  if (sheet.has_above) lines += LegendLine(line("above"), "above the best plane");
  lines += LegendLine(line("zero"), "on it");
  if (sheet.has_below) lines += LegendLine(line("below"), "below it");
  if (!sheet.all_shown)
    lines += LegendLine(line("above doubt"), "a guess: not shown by the readings");
  const std::string places =
      LegendLine("<circle class=\"station read\" cx=\"18\" cy=\"8\" r=\"3\"/>",
                 "a reading stands here") +
      LegendLine("<circle class=\"station\" cx=\"18\" cy=\"8\" r=\"3\"/>",
                 "height from the surface") +
      (sheet.has_holes
           ? LegendLine("<path class=\"hole\" d=\"" + HolePath({18.0, 8.0}, 3.0) + "\"/>",
                        "a mounting hole")
           : "");
  const std::string damage =
      sheet.has_damage
          ? LegendLine(
                "<path class=\"damage\" d=\"M2,8H12\"/><circle class=\"damage-number\" cx=\"22\" "
                "cy=\"8\" r=\"6.5\"/>",
                "a mark of damage, by its number in the table")
          : "";
  std::string parts;
  for (int hatch = 0; hatch <= 4; ++hatch) {
    if (std::find(sheet.hatchings.begin(), sheet.hatchings.end(), hatch) == sheet.hatchings.end())
      continue;
    parts += LegendLine(
        fmt::format("<rect class=\"part h{}\" x=\"1.5\" y=\"1.5\" width=\"33\" height=\"13\"/>",
                    hatch),
        HatchWords(hatch));
  }
  if (sheet.other_side)
    parts +=
        LegendLine("<rect class=\"part other\" x=\"1.5\" y=\"1.5\" width=\"33\" height=\"13\"/>",
                   "on the solder side");
  return "<div class=\"keys\">\n" + group("Lines", lines) + group("Places", places + damage) +
         (parts.empty() ? "" : group("Parts: share of the allowed bend, pressed flat", parts)) +
         "</div>\n";
}

/// Of one side; null: there is none.
const FacePicture* FaceOf(const std::vector<FacePicture>& pictures, Side side) {
  const auto found = std::find_if(
      pictures.begin(), pictures.end(), [&](const FacePicture& one) { return one.side == side; });
  return found == pictures.end() ? nullptr : &*found;
}

std::string FaceFigures(const Assessment& a, const std::vector<FacePicture>& pictures) {
  std::string out;
  for (const FacePicture& picture : pictures) {
    out += fmt::format(
        "<figure class=\"face\">\n{}<figcaption>The {} side to scale{}. Lengths in "
        "it are true within {} %, places within {} mm (95 %); what stands above the board is "
        "displaced outwards, by {} mm at most for each mm of height.</figcaption>\n</figure>\n",
        FaceSvg(a, picture),
        Name(picture.side),
        picture.side == Side::kSolder ? ", as if seen through the board" : "",
        Rounded(picture.scale_u95_percent, 2),
        Rounded(picture.place_u95_mm, 1),
        Rounded(picture.parallax_most, 2));
  }
  return out;
}

std::string SeenFigures(const std::vector<SeenPicture>& pictures) {
  std::string out;
  for (const SeenPicture& one : pictures) {
    const std::string title = fmt::format("{}, {}", Escape(one.id), Escape(one.at));
    if (one.data_uri.empty()) {
      out += fmt::format("<p>{}: {} cannot be shown: {}</p>\n",
                         title,
                         Escape(Printable(one.file)),
                         Escape(Printable(one.words)));
      continue;
    }
    out += fmt::format(
        "<figure class=\"seen\">\n<img src=\"{}\" alt=\"What the photos of {} showed\"/>\n"
        "<figcaption>{}. {}</figcaption>\n</figure>\n",
        one.data_uri,
        Escape(one.id),
        title,
        Escape(Printable(one.words)));
  }
  return out;
}

std::string SheetSection(const Assessment& a, const FacePicture* under) {
  if (!a.surface) return "";
  const SheetDrawing sheet = DrawSheet(a, under);
  std::string out = fmt::format(
      "<section>\n<h2>The board as a sheet</h2>\n<p class=\"small\">Seen from the component side, "
      "to scale on a grid of {} mm; "
      "{}. A line every {} mm of height, heights in mm over the best plane.{}</p>\n",
      Plainly(sheet.grid_mm),
      Escape(WeightWords(a.flatness)),
      Plainly(sheet.interval_mm),
      sheet.all_shown
          ? ""
          : " Dotted lines and question marks: the readings do not show the height there.");
  out += fmt::format(
      "<figure class=\"sheet\">\n{}<figcaption class=\"side\">\n{}", sheet.svg, TitleBlock(a));
  if (!sheet.unplaced.empty()) {
    out += fmt::format("<h3>Parts without a known place</h3>\n<p>{}</p>\n",
                       Escape(fmt::format("{}", fmt::join(sheet.unplaced, ", "))));
  }
  if (!sheet.unlabelled.empty()) {
    out += fmt::format("<h3>Drawn without a name, for want of room</h3>\n<p>{}</p>\n",
                       Escape(fmt::format("{}", fmt::join(sheet.unlabelled, ", "))));
  }
  return out + "</figcaption>\n" + Legend(sheet) + "</figure>\n" + HeightsTableHtml(a) +
         ReadingsTableHtml(a) + "</section>\n";
}

std::string Parts(const Assessment& a, const Calib& calib) {
  std::string out = "<section>\n<h2>Parts</h2>\n";
  if (a.parts.empty())
    return out +
           "<p>No parts are on record, so no risk can be rated. Add the large "
           "ones.</p>\n</section>\n";
  out +=
      "<p class=\"small\">The bend at a part is the strain of the board beside it. Joints have "
      "crept free of stress in the bent "
      "board, so pressing it flat is a new load. What is allowed is what its class stands (below, "
      "where the numbers come from), less for old joints, damage beside it and a thick board. In "
      "brackets 95 % intervals. The chance of damage is a rule of thumb.</p>\n";
  return out + PartsTableHtml(a, calib) + "</section>\n";
}

std::string Section(const std::string& title, const std::string& content) {
  return content.empty() ? ""
                         : fmt::format("<section>\n<h2>{}</h2>\n{}</section>\n", title, content);
}

std::string ListSection(const std::string& title, const std::vector<std::string>& items) {
  return items.empty() ? "" : Section(title, HtmlList(items));
}

std::string FirstLookHtml(const Assessment& a) {
  if (a.read || !a.first_look) return "";
  const FirstLookAnswer& look = *a.first_look;
  std::vector<std::string> items = look.because;
  if (look.bow_percent) {
    items.push_back(
        "bow " +
        (look.bow_percent95
             ? Print(*look.bow_percent, *look.bow_percent95, look.limit_percent).WithUnit("%")
             : Rounded(*look.bow_percent, 1) + " %"));
  }
  return ListSection("First look", items);
}

std::string NotMeasured(const Assessment& a) {
  std::string content;
  if (!a.flatness.not_measured.empty()) content += HtmlList(a.flatness.not_measured);
  if (!a.flatness.next_reading.empty()) {
    content += fmt::format("<p><b>Next reading:</b> {}</p>\n", Escape(a.flatness.next_reading));
  }
  return Section(
      "Not measured yet",
      content.empty() ? "<p>Nothing: all four edges and the twist are known.</p>\n" : content);
}

std::string Open(const Assessment& a) {
  std::vector<std::string> outliers;
  if (a.surface) {
    for (const Outlier& outlier : a.surface->outliers) outliers.push_back(OutlierSentence(outlier));
  }
  return NotMeasured(a) + ListSection("Readings that stand out", outliers) +
         ListSection("Readings passed over", a.passed_over);
}

}  // namespace
}  // namespace report

std::string ReportHtml(const Assessment& assessment,
                       const std::vector<HistoryLine>& history,
                       const Instant& now,
                       const Calib& calib,
                       const FollowedBoard* followed,
                       const std::vector<FacePicture>& pictures,
                       const std::vector<SeenPicture>& seen) {
  using namespace report;  // NOLINT(google-build-using-namespace): the page is made of nothing else
  std::string out = Head(assessment) + Opening(assessment, calib);
  out += "<main>\n" + Figures(assessment) + FirstLookHtml(assessment) + Edges(assessment) +
         SheetSection(assessment, FaceOf(pictures, Side::kComponent));
  out += Parts(assessment, calib) + PressedHtml(assessment) +
         Section(assessment.marks.empty() ? "Picture" : "Damage",
                 FaceFigures(assessment, pictures) + DamageTableHtml(assessment, calib)) +
         Section("What can be done", OptionsTableHtml(assessment)) + Open(assessment);
  if (followed != nullptr) out += Section("Over the days", TrendHtml(*followed));
  out += ListSection("Why", assessment.recommended.because) +
         ListSection("Take care", assessment.recommended.cautions);
  out += ListSection("Notes", assessment.notes);
  out += Section("What the photos showed", SeenFigures(seen));
  out += Section("Where the numbers come from", SourcesTableHtml(assessment, calib));
  out += Section("What was seen and done", HistoryTableHtml(history));
  const bool own_numbers =
      !assessment.calib_origin.empty() && assessment.calib_origin != "embedded";
  out += fmt::format(
      "</main>\n<footer>\n<p class=\"small\">Written {} by lieflat "
      "{}.{}</p>\n</footer>\n</body>\n</html>\n",
      now.Short(),
      kVersion,
      own_numbers ? " Numbers relied on: " + Escape(assessment.calib_origin) + "." : "");
  return out;
}

}  // namespace lieflat
