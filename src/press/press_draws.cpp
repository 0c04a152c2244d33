#include "press/press_draws.h"

#include <algorithm>

namespace lieflat {
namespace {

Result<DrawnFigures> DrawOne(const DrawAt& at,
                             const Eigen::VectorXd& nominal,
                             const Hold& hold,
                             bool full,
                             const Tell& tell) {
  if (full) {
    const auto cell = [&](const char* key) {
      return at.calib.Number("joints", std::string("/flatten/sample_") + key).value;
    };
    return DrawFull(at.inputs, at.readout, nominal, hold, cell("cell_mm"), cell("fine_mm"), tell);
  }
  auto plate = at.inputs.MakePlate(at.inputs.Along(0, 0.0), at.cell_mm, at.fine_mm);
  if (!plate) return plate.error();
  auto near = Neighbourhood::Make(std::move(*plate), at.heights, hold, at.solving);
  if (!near) return near.error();
  return DrawLinear(at.inputs, at.readout, *near, at.cell_mm, at.fine_mm, tell);
}

}  // namespace

Result<DrawnMoments> DrawMoments(const DrawAt& at,
                                 std::vector<std::size_t> moments,
                                 const std::vector<Eigen::VectorXd>& nominal,
                                 const std::function<Hold(std::size_t moment)>& hold_of,
                                 bool full,
                                 const Tell& tell) {
  std::sort(moments.begin(), moments.end());
  moments.erase(std::unique(moments.begin(), moments.end()), moments.end());
  std::map<std::size_t, DrawnFigures> drawn;
  for (std::size_t i = 0; i < moments.size(); ++i) {
    const std::size_t moment = moments[i];
    const auto tell_part = [&](double done) {
      return tell((static_cast<double>(i) + done) / static_cast<double>(moments.size()));
    };
    auto made = DrawOne(at, nominal[moment], hold_of(moment), full, tell_part);
    if (!made) return made.error();
    drawn.emplace(moment, std::move(*made));
  }
  DrawnMoments out;
  auto kept = AnsweredEverywhere(drawn, at.inputs.count(), at.calib);
  if (!kept) return kept.error();
  out.note = kept->note;
  for (const auto& [moment, figures] : drawn) {
    Eigen::MatrixXd& own = out.figures[moment];
    own.resize(figures.figures.rows(), static_cast<Eigen::Index>(kept->draws.size()));
    for (std::size_t k = 0; k < kept->draws.size(); ++k)
      own.col(static_cast<Eigen::Index>(k)) = figures.figures.col(kept->draws[k]);
  }
  return out;
}

}  // namespace lieflat
