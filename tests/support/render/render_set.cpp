// Renders a set of photos with its truth:  render_set FOLDER SEED WIDTH PHOTOS PAPER LENGTHxWIDTH
// [standing|damaged] Writes photo-1.jpg ..., truth.csv (sticker,x_mm,y_mm,height_mm) and
// upright.csv (the gaps that blades in steps of 0.05 mm show along the edges of the same board)
// into the folder. With the word standing: photos of a board on its edge AB, component side towards
// the phone, and truth.csv (at_mm,departure_mm). With the word damaged: damaged.jpg, one photo from
// above of a board with two scratches and two nicks, and damaged-truth.json. PAPER may be a lay
// sheet in tiles: a4:2x2.

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iostream>

#include <fmt/format.h>

#include "lieflat/base/json.h"
#include "lieflat/base/text.h"

#include "support/render/damaged_board.h"
#include "support/render/sets.h"

namespace {

using namespace lieflat;  // NOLINT(google-build-using-namespace): a program of one file

int RenderDamaged(const std::string& folder, std::uint64_t seed, const testing::SetOptions& asked) {
  testing::DamageOptions options;
  options.paper = asked.paper;
  options.size_mm = asked.board_mm;
  options.width = asked.width;
  options.height = asked.height;
  Random random(seed);
  const auto set = testing::DrawDamagedSet(Calib::Embedded(), options, seed, random);
  const auto place = [](const Eigen::Vector2d& at) { return Json::array({at.x(), at.y()}); };
  const auto [low, high] = set.drawn.described.Box();
  Json truth = {{"size_mm", place(options.size_mm)},
                {"read_on_a_rule_mm", place(high - low)},
                {"scratches", Json::array()},
                {"nicks", Json::array()}};
  for (const auto& scratch : set.drawn.scratches)
    truth["scratches"].push_back({{"from_mm", place(scratch.course_mm.front())},
                                  {"to_mm", place(scratch.course_mm.back())},
                                  {"length_mm", scratch.Length()},
                                  {"width_mm", scratch.width_mm},
                                  {"conductors", scratch.crossed}});
  for (const auto& nick : set.drawn.nicks)
    truth["nicks"].push_back({{"edge", Name(nick.edge)},
                              {"at_mm", nick.at_mm},
                              {"depth_mm", nick.depth_mm},
                              {"length_mm", nick.length_mm}});
  std::ofstream(folder + "/damaged.jpg", std::ios::binary) << set.file;
  std::ofstream out(folder + "/damaged-truth.json");
  out << DumpJson(truth);
  return out ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 7 && argc != 8) {
    std::cerr << "render_set FOLDER SEED WIDTH PHOTOS PAPER LENGTHxWIDTH [standing|damaged]\n";
    return 2;
  }
  const std::string folder = argv[1];
  testing::SetOptions options;
  options.width = std::atoi(argv[3]);
  options.height = options.width * 3 / 4;
  options.photos = std::atoi(argv[4]);
  options.paper = argv[5];
  if (const auto colon = options.paper.find(':'); colon != std::string::npos) {
    const auto grid = ParseSize(options.paper.substr(colon + 1), "tiles");
    if (!grid) return 2;
    options.tile_columns = static_cast<int>(grid->first);
    options.tile_rows = static_cast<int>(grid->second);
    options.paper.resize(colon);
  }
  const auto size = ParseSize(argv[6], "size");
  if (!size) return 2;
  options.board_mm = {size->first, size->second};
  if (argc == 8 && std::string(argv[7]) == "damaged")
    return RenderDamaged(folder, static_cast<std::uint64_t>(std::atoll(argv[2])), options);
  Random random(static_cast<std::uint64_t>(std::atoll(argv[2])));
  const bool standing = argc == 8;
  auto set = standing ? testing::DrawStandingSet(Calib::Embedded(), options, random)
                      : testing::DrawLyingSet(Calib::Embedded(), options, random);
  testing::Photograph(set, options, random);
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    std::ofstream(fmt::format("{}/photo-{}.jpg", folder, i + 1), std::ios::binary) << set.files[i];
  }
  std::ofstream truth(folder + "/truth.csv");
  if (standing) {
    truth << "at_mm,departure_mm\n";
    for (double at = 0.0; at <= options.board_mm.x(); at += 1.0)
      truth << fmt::format("{:.0f},{:.4f}\n", at, -set.scene.standing->Departure(at));
    return truth ? 0 : 1;
  }
  truth << "sticker,x_mm,y_mm,height_mm\n";
  const StickerLayout layout = StickerLayoutOf(Calib::Embedded());
  for (const auto& sticker : set.scene.board->stickers) {
    truth << fmt::format("{},{:.2f},{:.2f},{:.4f}\n",
                         layout.NameOf(sticker.id),
                         sticker.centre_mm.x(),
                         sticker.centre_mm.y(),
                         testing::TrueHeight(*set.scene.board, sticker.id));
  }
  std::ofstream upright(folder + "/upright.csv");
  upright << "edge,side,at_mm,go_mm,no_go_mm\n";
  const auto& board = *set.scene.board;
  const double x = options.board_mm.x(), y = options.board_mm.y();
  const Eigen::Vector2d corners[] = {{0, 0}, {x, 0}, {x, y}, {0, y}};
  constexpr double kBlade = 0.05;
  for (const Edge edge : kEdges) {
    const auto i = static_cast<std::size_t>(edge);
    const Eigen::Vector2d from = corners[i], to = corners[(i + 1) % 4];
    const double middle =
        board.Height(0.5 * (from + to)) - 0.5 * (board.Height(from) + board.Height(to));
    const double go = kBlade * std::floor(std::abs(middle) / kBlade);
    upright << fmt::format("{},{},,{:.2f},{:.2f}\n",
                           Name(edge),
                           middle > 0.0 ? "solder" : "component",
                           go,
                           go + kBlade);
  }
  return truth && upright ? 0 : 1;
}
