#include "photo/light.h"

namespace lieflat::internal {

const std::array<float, 256>& LinearLight() {
  static const std::array<float, 256> table = [] {
    std::array<float, 256> made{};
    for (std::size_t i = 0; i < made.size(); ++i) {
      const double coded = static_cast<double>(i) / 255.0;
      made[i] = static_cast<float>(coded <= 0.04045 ? coded / 12.92
                                                    : std::pow((coded + 0.055) / 1.055, 2.4));
    }
    return made;
  }();
  return table;
}

}  // namespace lieflat::internal
