// Writes a page for each sample assessment into a folder: report_pages FOLDER. For the browser's
// test and for looking.

#include <filesystem>
#include <fstream>
#include <iostream>

#include "lieflat/base/base64.h"
#include "lieflat/report/html.h"

#include "support/sample_assessment.h"

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: report_pages FOLDER\n";
    return 2;
  }
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  const auto now = lieflat::ParseInstant("2026-03-04T09:00:00+01:00", "pages").value();
  const std::vector<lieflat::HistoryLine> history = {
      {"e1", "2026-03-01 19:10", "read lying on a table, solder side down", true},
      {"e2",
       "2026-03-02 20:00",
       "read upright with a straightedge: AB 3.4 to 3.5 mm, BC 0.5 to 0.6 mm",
       false},
      {"e3", "2026-03-02 20:20", "works: yes; starts, <memory> test & disk", false}};
  const std::string drawing =
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"420mm\" height=\"297mm\" viewBox=\"0 0 "
      "420 "
      "297\"><rect width=\"420\" height=\"297\" fill=\"#eee\"/></svg>\n";
  const std::vector<lieflat::SeenPicture> seen = {
      {"e2",
       "2026-03-02 20:00",
       "photos/e2-seen.svg",
       "data:image/svg+xml;base64," + lieflat::Base64(drawing),
       "The sheet seen from above. What is left over is drawn some 130 times its size."},
      {"e1",
       "2026-03-01 19:10",
       "photos/e1-seen.svg",
       "",
       "it is not in the board's folder any more"}};
  for (const auto& [name, assessment] : lieflat::test::AssessmentsToShow()) {
    std::ofstream file(folder / (name + ".html"), std::ios::binary);
    file << lieflat::ReportHtml(
        assessment, history, now, lieflat::Calib::Embedded(), nullptr, {}, seen);
    if (!file) {
      std::cerr << "cannot write " << folder / (name + ".html") << "\n";
      return 1;
    }
  }
  return 0;
}
