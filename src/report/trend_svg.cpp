// The chart of a held board: readings with error bars over the days, holds as shaded spans, the
// limit, and what is foreseen as bands.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/report/html.h"

#include "report/edges.h"
#include "report/html_parts.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat {
namespace report {
namespace {

constexpr double kWidth = 640.0, kHeight = 300.0;
constexpr double kLeft = 44.0, kRight = 628.0, kTop = 14.0, kBottom = 262.0;
constexpr double kSecondsPerDay = 86400.0;

class TrendPainter {
 public:
  explicit TrendPainter(const Following& following) : f_(following) {
    start_ = f_.readings.front().at.unix_seconds;
    for (const LoggedHold& hold : f_.holds) start_ = std::min(start_, hold.from->unix_seconds);
    last_days_ = Days(f_.readings.back().at);
    for (const LoggedHold& hold : f_.holds)
      last_days_ = std::max(last_days_, Days(hold.to.value_or(*hold.from)));
    // What is ahead is drawn at the pace so far.
    pace_days_ =
        f_.holds.empty() ? 1.0 : std::max(0.5, last_days_ / static_cast<double>(f_.holds.size()));
    const double ahead = f_.forecast.empty() ? 0.0 : pace_days_ * f_.forecast.back().holds;
    days_ = std::max(1.0, std::min(last_days_ + ahead, 3.0 * last_days_ + 1.0));
    ahead_ = Ahead();
    Scale();
  }

  [[nodiscard]] std::string Draw() const {
    return fmt::format(
        "<svg class=\"drawing trend\" viewBox=\"0 0 {} {}\" role=\"img\" "
        "aria-labelledby=\"trend-t\">\n<title id=\"trend-t\">{}</title>\n{}{}{}{}{}{}</svg>\n",
        Px(kWidth),
        Px(kHeight),
        Escape(fmt::format("{}: readings over {} days", f_.figure, Plainly(std::ceil(last_days_)))),
        Holds(),
        Axes(),
        Bands(),
        Limit(),
        Readings(),
        Frame());
  }

 private:
  struct At {
    double days, p5, p25, p50, p75, p95;
  };

  [[nodiscard]] double Days(const Instant& at) const {
    return static_cast<double>(at.unix_seconds - start_) / kSecondsPerDay;
  }
  [[nodiscard]] double X(double days) const { return kLeft + (kRight - kLeft) * days / days_; }
  [[nodiscard]] double Y(double mm) const {
    return kBottom - (kBottom - kTop) * (mm - low_) / (high_ - low_);
  }

  void Scale() {
    low_ = INFINITY;
    high_ = -INFINITY;
    const auto take = [&](double mm) {
      low_ = std::min(low_, mm);
      high_ = std::max(high_, mm);
    };
    for (const FollowedReading& reading : f_.readings) {
      take(reading.value_mm - 2.0 * reading.u_mm);
      take(reading.value_mm + 2.0 * reading.u_mm);
    }
    for (const At& ahead : ahead_) {
      take(ahead.p5);
      take(ahead.p95);
    }
    if (f_.target_mm) take(*f_.target_mm);
    const double room = std::max(0.05 * (high_ - low_), 0.05);
    low_ -= room;
    high_ += room;
  }

  [[nodiscard]] std::string Holds() const {
    std::string out;
    for (const LoggedHold& hold : f_.holds) {
      const double from = X(Days(*hold.from));
      const double to = X(hold.to ? Days(*hold.to) : last_days_);
      out += fmt::format("<rect class=\"hold\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>\n",
                         Px(from),
                         Px(kTop),
                         Px(std::max(to - from, 0.8)),
                         Px(kBottom - kTop));
    }
    return out;
  }

  [[nodiscard]] std::string Axes() const {
    std::string out;
    const double step = NiceMm();
    for (double mm = std::ceil(low_ / step) * step; mm <= high_; mm += step) {
      out += fmt::format(
          "<path class=\"grid fifth\" d=\"M{},{}H{}\"/>", Px(kLeft), Px(Y(mm)), Px(kRight));
      out += Label{Rounded(mm, step < 0.1 ? 2 : 1), {kLeft - 5.0, Y(mm) + 3.5}, Anchor::kEnd}.Svg();
    }
    const double days = NiceStep((kRight - kLeft) / days_, 46.0);
    for (double day = 0.0; day <= days_ + 1e-9; day += days)
      out += Label{Plainly(day), {X(day), kBottom + 14.0}, Anchor::kMiddle}.Svg();
    out += Label{"days since the first entry",
                 {kRight, kBottom + 30.0},
                 Anchor::kEnd,
                 9.5,
                 false,
                 false,
                 "soft"}
               .Svg();
    out += Label{"mm", {kLeft - 5.0, kTop - 3.0}, Anchor::kEnd, 9.5, false, false, "soft"}.Svg();
    return out;
  }

  [[nodiscard]] double NiceMm() const {
    for (const double step : {0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0}) {
      if ((high_ - low_) / step <= 8.0) return step;
    }
    return 5.0;
  }

  /// From now through each hold that is foreseen and has room.
  [[nodiscard]] std::vector<At> Ahead() const {
    std::vector<At> at;
    if (!f_.model || f_.forecast.empty()) return at;
    const auto most = static_cast<int>((days_ - last_days_) / pace_days_ + 1e-9);
    for (int holds = 0; holds <= most; ++holds) {
      const StudentMixture state =
          f_.model->State(f_.model->last_hours() + holds * f_.hours_per_hold);
      at.push_back({last_days_ + holds * pace_days_,
                    state.Quantile(0.05),
                    state.Quantile(0.25),
                    state.Quantile(0.50),
                    state.Quantile(0.75),
                    state.Quantile(0.95)});
    }
    return at;
  }

  [[nodiscard]] std::string Bands() const {
    const std::vector<At>& at = ahead_;
    if (at.empty()) return "";
    const auto band = [&](const char* css, double At::*low, double At::*high) {
      std::vector<Eigen::Vector2d> ring;
      for (const At& one : at) ring.emplace_back(X(one.days), Y(one.*high));
      for (auto one = at.rbegin(); one != at.rend(); ++one)
        ring.emplace_back(X(one->days), Y((*one).*low));
      return fmt::format("<path class=\"{}\" d=\"{}\"/>\n", css, Path(ring, true));
    };
    std::vector<Eigen::Vector2d> middle;
    for (const At& one : at) middle.emplace_back(X(one.days), Y(one.p50));
    return band("band90", &At::p5, &At::p95) + band("band50", &At::p25, &At::p75) +
           fmt::format("<path class=\"middle\" d=\"{}\"/>\n", Path(middle, false));
  }

  [[nodiscard]] std::string Limit() const {
    if (!f_.target_mm) return "";
    const double y = Y(*f_.target_mm);
    return fmt::format("<path class=\"limit\" d=\"M{},{}H{}\"/>", Px(kLeft), Px(y), Px(kRight)) +
           Label{fmt::format("limit {} mm", Rounded(*f_.target_mm, 2)),
                 {kLeft + 6.0, y - 4.0},
                 Anchor::kStart}
               .Svg();
  }

  [[nodiscard]] std::string Readings() const {
    std::string out;
    for (const FollowedReading& reading : f_.readings) {
      const double x = X(Days(reading.at)), y = Y(reading.value_mm);
      out += fmt::format("<path class=\"bar\" d=\"M{0},{1}V{2}\"/>",
                         Px(x),
                         Px(Y(reading.value_mm - 2.0 * reading.u_mm)),
                         Px(Y(reading.value_mm + 2.0 * reading.u_mm)));
      // Told apart without colour: rested filled, just freed an open triangle, between a small
      // ring.
      if (reading.state == "just-freed") {
        out += fmt::format("<path class=\"freed\" d=\"M{},{}l4.5,8h-9z\"/>\n", Px(x), Px(y - 5.0));
      } else {
        out += fmt::format("<circle class=\"station{}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>\n",
                           reading.state == "between" ? "" : " read",
                           Px(x),
                           Px(y),
                           reading.state == "between" ? "2.2" : "3.2");
      }
    }
    return out;
  }

  [[nodiscard]] static std::string Frame() {
    return fmt::format("<path class=\"between\" d=\"M{0},{1}V{2}H{3}\"/>\n",
                       Px(kLeft),
                       Px(kTop),
                       Px(kBottom),
                       Px(kRight));
  }

  const Following& f_;
  std::vector<At> ahead_;
  std::int64_t start_ = 0;
  double last_days_ = 0.0, days_ = 1.0, pace_days_ = 1.0, low_ = 0.0, high_ = 1.0;
};

std::vector<std::vector<std::string>> Rows(const Following& f) {
  std::vector<std::vector<std::string>> rows;
  for (const FollowedReading& reading : f.readings) {
    rows.push_back({Escape(reading.id),
                    Escape(reading.at.Short()),
                    std::to_string(reading.holds),
                    reading.state == "first"        ? "before any hold"
                    : reading.state == "just-freed" ? "just freed"
                    : reading.state == "rested"     ? "next day"
                                                    : "in between",
                    Typographic(PlusMinus(reading.value_mm, 2.0 * reading.u_mm, "±"))});
  }
  return rows;
}

}  // namespace

std::string TrendHtml(const FollowedBoard& board) {
  const Following& f = board.following;
  if (f.readings.empty() || f.holds.empty()) return "";
  std::string out = fmt::format("<p><b>{}</b> {}. {}.</p>\n",
                                f.stop.stop() ? "Stop:" : "Go on, or not:",
                                Escape(Typographic(f.stop.why)),
                                Escape(Typographic(Upper(f.change.why))));
  const auto any = [&](const char* state) {
    return std::any_of(f.readings.begin(), f.readings.end(), [&](const FollowedReading& reading) {
      return reading.state == state;
    });
  };
  out += fmt::format(
      "<figure class=\"trend\">\n{}<figcaption class=\"small\">Filled: rested.{}{} Upright "
      "strokes: 95 % of "
      "what one reading repeats to. Grey spans: held.{}</figcaption>\n</figure>\n",
      TrendPainter(f).Draw(),
      any("just-freed") ? " Triangle: just freed, which overstates." : "",
      any("between") ? " Small ring: in between." : "",
      f.forecast.empty() ? ""
                         : " Bands: half, and nine of ten, of what is to be expected with more "
                           "holds at this pace.");
  return out + HtmlTable(TableKind::kStack,
                         fmt::format("{}, mm, + as it was first", f.figure),
                         {{"Entry"}, {"Read"}, {"After holds", true}, {"State"}, {"mm", true}},
                         Rows(f));
}

}  // namespace report

std::string TrendSvg(const FollowedBoard& board) {
  return board.following.readings.empty() ? "" : report::TrendPainter(board.following).Draw();
}

}  // namespace lieflat
