#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/board/mass.h"
#include "lieflat/report/preview.h"
#include "lieflat/report/text.h"

#include "report/table.h"
#include "report/words.h"

namespace lieflat {
namespace {

using report::kTerminalWidth;

constexpr int kAnswerIndent = 16;  // the answers stand in a column of their own
constexpr double kStandardGravity = 9.80665;
constexpr double kMicrostrain = 1e6;

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

std::string Newtons(double force_n) { return report::Rounded(force_n, force_n < 10.0 ? 1 : 0); }

std::string NewtonsAndKilograms(double force_n) {
  return fmt::format(
      "{} N ({} kg)", Newtons(force_n), report::Rounded(force_n / kStandardGravity, 1));
}

class Text {
 public:
  Text(const Preview& preview, const Calib& calib)
      : preview_(preview),
        pressing_(preview.pressing),
        board_(preview.basis.board),
        calib_(calib) {}

  std::string Write() const {
    return Header() + "\n" + Answers() + Found() + Way() + Parts() + HeldBy() + Points() +
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
          words += fmt::format(" Its own weight of {} N comes on top.", Newtons(-force.up_n));
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

  [[nodiscard]] static std::string ShareWords(const PressedPart& part) {
    const Interval interval = part.share95.value_or(Interval{part.share, part.share});
    const auto printed = report::PrintShare(part.share, interval);
    return part.share95 ? printed.WithUnit("%") : printed.value + " %";
  }

  [[nodiscard]] std::string Answers() const {
    std::string out = Answer("Flat?", FlatAnswer()) + Answer("Load", LoadAnswer());
    if (const PressedPart* worst = Worst()) {
      const bool on_the_way = worst->worst_step + 1 != pressing_.steps.size();
      out += Answer(
          "Worst part",
          fmt::format("{} takes {} of its allowed bend, {}.",
                      report::Printable(worst->ref),
                      ShareWords(*worst),
                      on_the_way   ? fmt::format("on the way, with {} N on",
                                               Newtons(pressing_.steps[worst->worst_step].load_n))
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
                  OnScrews() ? "Nothing of it, once the screws are out."
                             : "This says what happens while it is held, not what stays.");
    return out;
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

  [[nodiscard]] std::string Way() const {
    std::vector<std::vector<std::string>> rows;
    for (const PressStep& step : pressing_.steps) {
      std::string part;
      double most = -1.0;
      for (std::size_t i = 0; i < step.parts.size(); ++i) {
        const double limit = LimitOf(preview_.basis.parts[i]).allowed;
        const double share = std::abs(step.parts[i].strain.strain) / limit;
        if (share <= most) continue;
        most = share;
        const Interval as_exact = pressing_.parts[i].share95.value_or(Interval{share, share});
        part = fmt::format("{} {} %",
                           report::Printable(board_.parts[i].ref),
                           report::PrintShare(share, as_exact).value);
      }
      rows.push_back({report::Rounded(100.0 * step.share, 0) + " %",
                      Newtons(step.load_n),
                      report::Rounded(step.gap_mm, 2),
                      report::Rounded(step.highest_mm, 2),
                      report::Rounded(step.largest_strain * kMicrostrain, 0),
                      part});
    }
    return "\nOn the way\n" + report::TextTable({{"Done", true},
                                                 {"Load, N", true},
                                                 {"Left, mm", true},
                                                 {"Highest, mm", true},
                                                 {"Strain, microstrain", true},
                                                 {"Worst part"}},
                                                rows,
                                                2);
  }

  [[nodiscard]] std::string Parts() const {
    if (pressing_.parts.empty()) return "";
    std::vector<const PressedPart*> order;
    for (const PressedPart& part : pressing_.parts) order.push_back(&part);
    std::stable_sort(order.begin(), order.end(), [](const PressedPart* a, const PressedPart* b) {
      return a->share > b->share;
    });
    constexpr std::size_t kMostRows = 12;
    const std::size_t shown = std::min(order.size(), kMostRows);
    std::vector<std::vector<std::string>> rows;
    bool joints = false;
    for (std::size_t k = 0; k < shown; ++k) {
      const PressedPart& part = *order[k];
      const auto number = static_cast<std::size_t>(order[k] - pressing_.parts.data());
      const PressedPartAt& at = pressing_.steps[part.worst_step].parts[number];
      joints = joints || at.joints.has_value();
      rows.push_back({report::Printable(part.ref),
                      preview_.basis.parts[number].part_class,
                      report::Rounded(part.strain * kMicrostrain, 0),
                      ShareWords(part),
                      at.joints ? report::Rounded(at.joints->axial_n, 2) : "",
                      at.joints ? report::Rounded(at.joints->shear_n, 2) : "",
                      Name(part.rating)});
    }
    std::string out = "\nParts at their worst moment\n";
    out += report::TextTable({{"Part"},
                              {"Class"},
                              {"Strain", true},
                              {"Of allowed", true},
                              {"Pull, N", true},
                              {"Shear, N", true},
                              {"Rating"}},
                             rows,
                             2);
    if (order.size() > shown)
      out += Line(fmt::format("and {} more, all below these.", order.size() - shown), 2, 2);
    out +=
        Line("Strain in microstrain, + where the face that carries the part is stretched.", 2, 2);
    if (joints)
      out += Line("Pull and shear of the worst single joint; pull -: pushed together.", 2, 2);
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

  [[nodiscard]] std::string Points() const {
    if (pressing_.points.empty()) return "";
    std::vector<std::vector<std::string>> rows;
    const auto pair = [](const Eigen::Vector2d& strain) {
      return fmt::format("{}, {}",
                         report::Rounded(strain.x() * kMicrostrain, 0),
                         report::Rounded(strain.y() * kMicrostrain, 0));
    };
    for (const PressPoint& point : pressing_.points) {
      rows.push_back({report::Plainly(point.at_mm.x()),
                      report::Plainly(point.at_mm.y()),
                      report::Rounded(point.height_mm, 3),
                      pair(point.top),
                      pair(point.bottom)});
    }
    return "\nAt your points, when held\n" + report::TextTable({{"x, mm", true},
                                                                {"y, mm", true},
                                                                {"Height, mm", true},
                                                                {"Upper face, microstrain", true},
                                                                {"Lower face", true}},
                                                               rows,
                                                               2);
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
  const Calib& calib_;
};

}  // namespace

std::string PreviewText(const Preview& preview, const Calib& calib) {
  return Text(preview, calib).Write();
}

}  // namespace lieflat
