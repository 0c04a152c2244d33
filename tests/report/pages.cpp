// Writes a page for each sample assessment into a folder: report_pages FOLDER. For the browser's
// test and for looking.

#include <filesystem>
#include <fstream>
#include <iostream>

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
  for (const auto& [name, assessment] : lieflat::test::AssessmentsToShow()) {
    std::ofstream file(folder / (name + ".html"), std::ios::binary);
    file << lieflat::ReportHtml(assessment, history, now);
    if (!file) {
      std::cerr << "cannot write " << folder / (name + ".html") << "\n";
      return 1;
    }
  }
  return 0;
}
