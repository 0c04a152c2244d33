#include "photo/picture_grid.h"

#include <cmath>
#include <cstdint>

#include "photo/light.h"

namespace lieflat::internal {

Grid BoxMean(const Grid& in, int reach) {
  Grid across(in.columns, in.rows), out(in.columns, in.rows);
  const auto run = [reach](int n, const auto& get, const auto& put) {
    double sum = 0.0;
    int first = 0, last = -1;
    for (int i = 0; i < n; ++i) {
      while (last < std::min(n - 1, i + reach)) sum += static_cast<double>(get(++last));
      while (first < i - reach) sum -= static_cast<double>(get(first++));
      put(i, static_cast<float>(sum / (last - first + 1)));
    }
  };
  for (int j = 0; j < in.rows; ++j) {
    run(
        in.columns,
        [&](int i) { return in.At(i, j); },
        [&](int i, float v) { across.At(i, j) = v; });
  }
  for (int i = 0; i < in.columns; ++i) {
    run(
        in.rows, [&](int j) { return across.At(i, j); }, [&](int j, float v) { out.At(i, j) = v; });
  }
  return out;
}

Layers OnGrid(const BoardPicture& p, const Eigen::Vector2d& low, int columns, int rows) {
  const auto& linear = LinearLight();
  Layers out(kKinds, Grid(columns, rows));
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) {
      const Eigen::Vector2d px = p.ToPx(low + kGridMm * Eigen::Vector2d(i, j));
      const int x0 = static_cast<int>(std::floor(px.x())),
                y0 = static_cast<int>(std::floor(px.y()));
      float sum[3] = {0.0F, 0.0F, 0.0F};
      for (int y = y0; y < y0 + 2; ++y) {
        for (int x = x0; x < x0 + 2; ++x) {
          const std::uint8_t* const at = p.picture.Row(std::clamp(y, 0, p.picture.height - 1)) +
                                         std::ptrdiff_t{3} * std::clamp(x, 0, p.picture.width - 1);
          for (int k = 0; k < 3; ++k) sum[k] += linear[at[k]];
        }
      }
      constexpr float kDark = 0.03F;  // under it noise rules
      float c[3];
      for (int k = 0; k < 3; ++k) c[k] = std::log(0.25F * sum[k] + kDark);
      out[0].At(i, j) = (c[0] + c[1] + c[2]) / 3.0F;
      out[1].At(i, j) = c[0] - c[1];
      out[2].At(i, j) = c[2] - c[1];
    }
  }
  return out;
}

Grid HighPass(const Grid& in, double reach_mm) {
  const Grid low = BoxMean(in, static_cast<int>(reach_mm / kGridMm));
  Grid out = in;
  for (std::size_t i = 0; i < out.values.size(); ++i) out.values[i] -= low.values[i];
  return out;
}

double Correlation(const Grid& a, const Grid& b, int i0, int j0, int i1, int j1, int di, int dj) {
  double sa = 0, sb = 0, saa = 0, sbb = 0, sab = 0;
  int n = 0;
  for (int j = j0; j < j1; ++j) {
    for (int i = i0; i < i1; ++i) {
      if (!a.Has(i, j) || !b.Has(i + di, j + dj)) continue;
      const double x = static_cast<double>(a.At(i, j)),
                   y = static_cast<double>(b.At(i + di, j + dj));
      sa += x;
      sb += y;
      saa += x * x;
      sbb += y * y;
      sab += x * y;
      ++n;
    }
  }
  if (n < 4) return 0.0;
  const double va = saa - sa * sa / n, vb = sbb - sb * sb / n;
  return va > 1e-9 && vb > 1e-9 ? (sab - sa * sb / n) / std::sqrt(va * vb) : 0.0;
}

}  // namespace lieflat::internal
