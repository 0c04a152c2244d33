#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/board/mass.h"
#include "lieflat/report/preview.h"
#include "lieflat/report/text.h"

#include "report/preview_tables.h"
#include "report/table.h"
#include "report/words.h"

namespace lieflat {
namespace {

using report::kTerminalWidth;

constexpr int kAnswerIndent = 16;  // the answers stand in a column of their own
constexpr double kStandardGravity = 9.80665;

std::string Line(const std::string& text, int first = 0, int next = 0) {
  return Wrap(text, kTerminalWidth, first, next) + "\n";
}

std::string Answer(const std::string& question, const std::string& answer) {
  const std::string wrapped = Wrap(answer, kTerminalWidth, kAnswerIndent, kAnswerIndent);
  return fmt::format("{:<{}}{}\n", question, kAnswerIndent, wrapped.substr(kAnswerIndent));
}

std::string List(const std::string& title, const std::vector<std::string>& items) {
  if (items.empty()) return "";
  std::string out = "\n" + title + "\n";
  for (const std::string& item : items) out += Line("- " + item, 2, 4);
  return out;
}

std::string NewtonsAndKilograms(double force_n) {
  return fmt::format(
      "{} N ({} kg)", report::Newtons(force_n), report::Rounded(force_n / kStandardGravity, 1));
}

class Text {
 public:
  explicit Text(const Preview& preview)
      : preview_(preview), pressing_(preview.pressing), board_(preview.basis.board) {}

  std::string Write() const {
    return Header() + "\n" + Answers() + Found() + report::WayTable(preview_) +
           report::PressedPartsTable(preview_) + HeldBy() + report::PointsTable(preview_) +
           Recipe() + List("What this rests on", Grounds()) + List("Take care", preview_.cautions);
  }

 private:
  [[nodiscard]] bool OnScrews() const { return std::holds_alternative<OnStandOffs>(preview_.way); }

  [[nodiscard]] std::string Header() const {
    const std::string label =
        board_.label.empty() ? "board without a label" : report::Printable(board_.label);
    return Line(fmt::format("{}: {}; {} side up", label, WayWords(), Name(preview_.up)), 0, 4);
  }

  [[nodiscard]] std::string WayWords() const {
    if (const auto* plates = std::get_if<BetweenPlates>(&preview_.way)) {
      return plates->gap_mm
                 ? fmt::format("between plates at {} mm", report::Plainly(*plates->gap_mm))
                 : fmt::format("under a plate with {}", NewtonsAndKilograms(plates->load_n));
    }
    if (const auto* under = std::get_if<UnderWeights>(&preview_.way)) {
      std::string words = "under ";
      for (const UnderWeights::Weight& weight : under->weights) {
        words += fmt::format("{}{} kg at {},{}",
                             &weight == under->weights.data() ? "" : " and ",
                             report::Plainly(weight.mass_kg),
                             report::Plainly(weight.at_mm.x()),
                             report::Plainly(weight.at_mm.y()));
      }
      return words;
    }
    if (const auto* bars = std::get_if<UnderBars>(&preview_.way)) {
      std::string edges;
      for (const Edge edge : bars->edges)
        edges += fmt::format("{}{}", edges.empty() ? "" : " and ", Name(edge));
      return fmt::format("bars along {}, {} each", edges, NewtonsAndKilograms(bars->load_n));
    }
    const auto& mount = std::get<OnStandOffs>(preview_.way);
    std::string shims;
    for (const auto& [hole, shim] : mount.shims_mm) {
      if (shim != 0.0)
        shims += fmt::format(
            "{}{} mm at hole {}", shims.empty() ? "" : ", ", report::Plainly(shim), hole);
    }
    return "screwed to stand-offs, " + (shims.empty() ? "no shims" : "shims " + shims);
  }

  [[nodiscard]] std::string FlatAnswer() const {
    const PressStep& end = pressing_.end();
    const std::string left = report::Rounded(end.gap_mm, 2);
    const std::string warp = report::Rounded(pressing_.warp_mm, 1);
    if (OnScrews()) {
      return fmt::format(
          "It stands {} mm from lowest to highest when screwed down; free and without its own "
          "weight {} mm.",
          left,
          warp);
    }
    if (pressing_.flat())
      return fmt::format("Yes, while held: {} mm is left of {} mm.", left, warp);
    return fmt::format("No: {} mm is left of {} mm. Up to {} mm would count as flat.",
                       left,
                       warp,
                       report::Rounded(pressing_.flat_mm, 2));
  }

  [[nodiscard]] std::string LoadAnswer() const {
    const double load = pressing_.end().load_n;
    std::string words =
        OnScrews() ? fmt::format("The screws pull down with {} in all.", NewtonsAndKilograms(load))
                   : NewtonsAndKilograms(load) + " presses.";
    if (pressing_.flat_load_n && !OnScrews() && *pressing_.flat_load_n < 0.999 * load)
      words += fmt::format(" {} would do for flat.", NewtonsAndKilograms(*pressing_.flat_load_n));
    if (preview_.own_weight) {
      for (const PressForce& force : pressing_.forces) {
        if (force.on == "own weight")
          words +=
              fmt::format(" Its own weight of {} N comes on top.", report::Newtons(-force.up_n));
      }
    }
    return words;
  }

  [[nodiscard]] const PressedPart* Worst() const {
    const auto worst = std::max_element(
        pressing_.parts.begin(), pressing_.parts.end(), [](const auto& a, const auto& b) {
          return a.share < b.share;
        });
    return worst != pressing_.parts.end() ? &*worst : nullptr;
  }

  [[nodiscard]] std::string Answers() const {
    std::string out = Answer("Flat?", FlatAnswer()) + Answer("Load", LoadAnswer());
    if (const PressedPart* worst = Worst()) {
      const bool on_the_way = worst->worst_step + 1 != pressing_.steps.size();
      out += Answer(
          "Worst part",
          fmt::format("{} takes {} of its allowed bend, {}.",
                      report::Printable(worst->ref),
                      report::PressedShareWords(*worst),
                      on_the_way
                          ? fmt::format("on the way, with {} N on",
                                        report::Newtons(pressing_.steps[worst->worst_step].load_n))
                      : OnScrews() ? "with all screws home"
                                   : "with all of it on"));
      out +=
          Answer("Chance",
                 fmt::format("{} that at least one part is damaged, a rule of thumb.",
                             report::Upper(ProbabilityInWords(pressing_.any_damage_probability))));
    }
    out += Answer(
        "How slowly",
        OnScrews()
            ? "All screws started first, then half a turn each in turn, never one home at once."
            : fmt::format("Bring the load on over {} s or more, and take it off as slowly.",
                          report::Rounded(pressing_.lower_over_s, 0)));
    out += Answer("What stays",
                  OnScrews() ? "Nothing of it, once the screws are out." : LastingAnswer());
    return out;
  }

  /// "Of what it takes out, rested: 0.1 % (0.0 to 0.5) after a night at 23 C, ..."
  [[nodiscard]] std::string LastingAnswer() const {
    std::vector<std::string> words;
    for (const LastingRow& row : preview_.lasting)
      words.push_back(fmt::format("{} after {}", report::KeptWords(row.keeps), row.hold));
    return fmt::format(
        "Of the bend that it takes out, once it has rested: {}. A model's "
        "estimate, not proved on this board.",
        Join(words, ", "));
  }

  /// What --optimise found, and how far it can be trusted.
  [[nodiscard]] std::string Found() const {
    if (!preview_.optimised) return "";
    const Optimised& found = *preview_.optimised;
    std::string words;
    if (const auto* under = std::get_if<UnderWeights>(&found.way)) {
      for (const UnderWeights::Weight& weight : under->weights) {
        words += fmt::format("{}{} kg, middle at {},{}",
                             words.empty() ? "" : "; ",
                             report::Plainly(weight.mass_kg),
                             report::Rounded(weight.at_mm.x(), 0),
                             report::Rounded(weight.at_mm.y(), 0));
      }
    } else if (const auto* mount = std::get_if<OnStandOffs>(&found.way)) {
      for (const auto& [hole, mm] : mount->shims_mm) {
        if (mm > 0.0)
          words += fmt::format(
              "{}{} mm at hole {}", words.empty() ? "" : "; ", report::Plainly(mm), hole);
      }
      if (words.empty()) words = "no washers";
    }
    const auto percent = [](double share) { return report::Rounded(100.0 * share, 0); };
    std::string out = "\nGentlest that was found\n" + Line(words + ".", 2, 4);
    out += Line(fmt::format("{} holds were tried, each by moving one thing by {} mm or more, on a "
                            "coarse mesh. There the worst share went from {} % to {} %. Something "
                            "quite different may be gentler still; the figures on this page are "
                            "of what was found, worked out in full.",
                            found.searched,
                            report::Plainly(found.finest_step_mm),
                            percent(found.before),
                            percent(found.after)),
                2,
                2);
    return out;
  }

  [[nodiscard]] std::string HeldBy() const {
    std::string words;
    for (const PressForce& force : pressing_.forces) {
      words += fmt::format("{}{} {} N",
                           words.empty() ? "" : ", ",
                           force.on,
                           report::Rounded(force.up_n, std::abs(force.up_n) < 10.0 ? 1 : 0));
    }
    return words.empty() ? "" : "\n" + Line("Forces on it (up is +): " + words + ".", 0, 2);
  }

  /// Washers under a board that is not to be bent.
  [[nodiscard]] std::string Recipe() const {
    if (pressing_.unforced_gaps.empty()) return "";
    std::vector<std::string> gaps;
    for (const Pressing::HoleGap& gap : pressing_.unforced_gaps) {
      const Eigen::Vector2d& at = board_.holes[static_cast<std::size_t>(gap.hole) - 1].centre_mm;
      gaps.push_back(fmt::format("{} at {},{}: {} mm",
                                 gap.hole,
                                 report::Rounded(at.x(), 0),
                                 report::Rounded(at.y(), 0),
                                 report::Rounded(gap.mm, 2)));
    }
    std::string out = "\nTo screw it down without bending it\n";
    out += Line("1. Lay it on its bare stand-offs, no screw in, nothing pressing.", 2, 5);
    out +=
        Line(fmt::format("2. Measure the gap at each hole with blades. Expected, hole by hole: {}.",
                         fmt::join(gaps, "; ")),
             2,
             5);
    out += Line("3. Fill each gap with insulating washers of that height.", 2, 5);
    out += Line(
        "4. Start all screws by two turns. Then half a turn each, crosswise, until each "
        "just bites.",
        2,
        5);
    out += Line("5. Sight along the edges: the board must stand as it lay.", 2, 5);
    return out;
  }

  [[nodiscard]] std::vector<std::string> Grounds() const {
    std::vector<std::string> out = pressing_.validity;
    out.push_back("the board as read: " + report::HowWords(preview_.basis));
    if (preview_.basis.calib_origin != "embedded")
      out.push_back("numbers relied on: " + preview_.basis.calib_origin);
    return out;
  }

  const Preview& preview_;
  const Pressing& pressing_;
  const Board& board_;
};

}  // namespace

std::string PreviewText(const Preview& preview) { return Text(preview).Write(); }

}  // namespace lieflat
