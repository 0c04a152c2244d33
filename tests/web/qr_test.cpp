// Held against an independent reader: ZXing, on a picture of the modules.

#include "app/web/qr.h"

#include <sstream>

#include <ZXing/ReadBarcode.h>
#include <ZXing/TextUtfEncoding.h>
#include <gmock/gmock.h>

namespace lieflat::web {
namespace {

constexpr int kModule = 6;  // pixels

struct Picture {
  int side = 0;  ///< pixels
  std::vector<unsigned char> grey;
  [[nodiscard]] bool Dark(int row, int column) const {
    const int y = row * kModule, x = column * kModule;
    return y < side && grey[static_cast<std::size_t>(y * side + x)] == 0;
  }
};

/// Paints the runs of the <path>: "M{x} {y}h{n}v1h-{n}z".
Picture Painted(const std::string& svg) {
  int size = 0;
  EXPECT_EQ(1, std::sscanf(svg.c_str() + svg.find("viewBox"), "viewBox=\"0 0 %d", &size));
  Picture picture{size * kModule, {}};
  picture.grey.assign(static_cast<std::size_t>(picture.side * picture.side), 255);
  const auto begin = svg.find(" d=\"") + 4;
  std::istringstream path(svg.substr(begin, svg.find('"', begin) - begin));
  char letter = 0;
  int x = 0, y = 0, length = 0;
  while (path >> letter >> x >> y >> letter >> length) {
    for (int row = y * kModule; row < (y + 1) * kModule; ++row) {
      for (int column = x * kModule; column < (x + length) * kModule; ++column)
        picture.grey[static_cast<std::size_t>(row * picture.side + column)] = 0;
    }
    path.ignore(100, 'z');
  }
  return picture;
}

TEST(Qr, IsReadBack) {
  for (const std::string text : {"http://192.168.1.5:4170/#pair=00112233445566778899aabbccddeeff",
                                 "http://[fd00::2]:65535/#pair=ffeeddccbbaa99887766554433221100"}) {
    const Picture picture = Painted(QrSvg(text));
    const ZXing::ImageView view(
        picture.grey.data(), picture.side, picture.side, ZXing::ImageFormat::Lum);
    const auto hints = ZXing::DecodeHints().setFormats(ZXing::BarcodeFormat::QRCode);
    EXPECT_EQ(text, ZXing::TextUtfEncoding::ToUtf8(ZXing::ReadBarcode(view, hints).text()));
  }
}

TEST(Qr, TheTerminalShowsTheSame) {
  const std::string text = "http://192.168.1.5:4170/#pair=00112233445566778899aabbccddeeff";
  const Picture want = Painted(QrSvg(text));
  std::istringstream lines(QrForTerminal(text));
  std::string line;
  for (int row = 0; std::getline(lines, line); row += 2) {
    const auto begin = line.find('m') + 1;
    std::string cells = line.substr(begin, line.rfind('\033') - begin);
    for (int column = 0; !cells.empty(); ++column) {
      const bool plain = cells[0] == ' ';
      const std::string cell =
          cells.substr(0, plain ? 1 : 3);  // the blocks take three bytes of UTF-8
      cells = cells.substr(cell.size());
      const auto dark = [&](int r) { return want.Dark(r, column); };
      EXPECT_EQ(dark(row), cell == "█" || cell == "▀") << row << " " << column;
      EXPECT_EQ(dark(row + 1), cell == "█" || cell == "▄") << row << " " << column;
    }
  }
}

}  // namespace
}  // namespace lieflat::web
