#include "app/web/qr.h"

#include <memory>

#include <fmt/format.h>
#include <qrencode.h>

#include "lieflat/base/check.h"

namespace lieflat::web {
namespace {

constexpr int kQuiet = 4;  // modules round it that stay light, as the standard asks

class Code {
 public:
  explicit Code(const std::string& text)
      : code_(QRcode_encodeString8bit(text.c_str(), 0, QR_ECLEVEL_M), QRcode_free) {
    LIEFLAT_CHECK(code_ != nullptr, "an address fits a QR code");
  }
  [[nodiscard]] int size() const { return code_->width + 2 * kQuiet; }
  [[nodiscard]] bool Dark(int row, int column) const {
    const int r = row - kQuiet, c = column - kQuiet;
    if (r < 0 || c < 0 || r >= code_->width || c >= code_->width) return false;
    return (code_->data[r * code_->width + c] & 1U) != 0;
  }

 private:
  std::unique_ptr<QRcode, decltype(&QRcode_free)> code_;
};

}  // namespace

std::string QrForTerminal(const std::string& text) {
  const Code code(text);
  std::string out;
  for (int row = 0; row < code.size(); row += 2) {
    out += "\033[30;107m";  // black on bright white
    for (int column = 0; column < code.size(); ++column) {
      const bool upper = code.Dark(row, column), lower = code.Dark(row + 1, column);
      out += upper && lower ? "█" : upper ? "▀" : lower ? "▄" : " ";
    }
    out += "\033[0m\n";
  }
  return out;
}

std::string QrSvg(const std::string& text) {
  const Code code(text);
  std::string path;
  for (int row = 0; row < code.size(); ++row) {
    for (int column = 0; column < code.size(); ++column) {
      if (!code.Dark(row, column)) continue;
      int end = column;
      while (code.Dark(row, end)) ++end;
      path += fmt::format("M{} {}h{}v1h-{}z", column, row, end - column, end - column);
      column = end;
    }
  }
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {0}\" role=\"img\" "
      "aria-label=\"code for the phone's camera\" shape-rendering=\"crispEdges\">"
      "<rect width=\"{0}\" height=\"{0}\" fill=\"#fff\"/><path d=\"{1}\" fill=\"#000\"/></svg>",
      code.size(),
      path);
}

}  // namespace lieflat::web
