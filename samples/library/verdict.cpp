// Prints the verdict of a board folder: verdict DIR

#include <iomanip>
#include <iostream>

#include <lieflat/assess/assessment.h>

int main(int count, char** words) {
  if (count != 2) {
    std::cerr << "verdict: name a board's folder\n";
    return 2;
  }
  using namespace lieflat;
  const Calib& calib = Calib::Embedded();
  const BoardFolder folder(RealDisk(), RealClock(), calib, words[1]);
  const auto state = folder.Load();
  if (!state) {
    std::cerr << state.error().Text() << "\n";
    return 3;
  }
  const auto assessment = Assess(*state, Bench{}, calib, RealClock().Now());
  if (!assessment) {
    std::cerr << assessment.error().Text() << "\n";
    return 3;
  }
  const Flatness& flatness = assessment->flatness;
  std::cout << std::setprecision(3) << assessment->board.label << ": bow " << flatness.bow_percent
            << " % (" << flatness.bow_percent95.low << " to " << flatness.bow_percent95.high
            << "), " << Name(flatness.bow_verdict) << "; do: " << assessment->recommended.name
            << "\n";
}
