#include "lieflat/report/html.h"

#include <stack>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/words.h"

#include "support/sample_assessment.h"

namespace lieflat {
namespace {

using testing::HasSubstr;
using testing::Not;

const std::vector<HistoryLine> kHistory = {{"e1", "2026-03-01 19:10", "read <lying> & wrong", true},
                                           {"e2", "2026-03-02 20:00", "read upright", false}};

std::string Page(const Assessment& assessment) {
  return ReportHtml(
      assessment, kHistory, ParseInstant("2026-03-04T09:00:00+01:00", "test").value());
}

/// The first fault of the nesting of tags, or an empty text. Every tag of ours is closed, as XML
/// wants it.
std::string NestingFault(const std::string& page) {
  std::stack<std::string> open;
  for (std::size_t at = page.find('<'); at != std::string::npos; at = page.find('<', at + 1)) {
    const std::size_t end = page.find('>', at);
    if (end == std::string::npos) return "an open tag at the end";
    if (page[at + 1] == '!') continue;
    const bool closing = page[at + 1] == '/';
    const std::string name = page.substr(
        at + 1 + (closing ? 1 : 0), page.find_first_of(" />", at + 2) - at - 1 - (closing ? 1 : 0));
    if (closing) {
      if (open.empty() || open.top() != name) return "</" + name + "> closes nothing";
      open.pop();
    } else if (page[end - 1] != '/') {
      open.push(name);
    }
  }
  return open.empty() ? "" : "<" + open.top() + "> stays open";
}

TEST(ReportHtml, IsWellFormedAndSelfContained) {
  for (const auto& [name, assessment] : test::AssessmentsToShow()) {
    const std::string page = Page(assessment);
    EXPECT_EQ(NestingFault(page), "") << name;
    EXPECT_THAT(
        page, HasSubstr("content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:\""))
        << name;
    EXPECT_THAT(page, HasSubstr("<html lang=\"en\">")) << name;
    EXPECT_THAT(page, HasSubstr("name=\"viewport\"")) << name;
    for (const char* outside :
         {"http://", "https://", "<script", "<link", "@import", "javascript:"}) {
      EXPECT_EQ(page.find(outside), std::string::npos) << name << ": " << outside;
    }
    EXPECT_EQ(page.find(">nan"), std::string::npos) << name;
  }
}

TEST(NestingFault, FindsFaults) {
  EXPECT_EQ(NestingFault("<a><b></b></a>"), "");
  EXPECT_EQ(NestingFault("<a><b></a></b>"), "</a> closes nothing");
  EXPECT_EQ(NestingFault("<a><br/>"), "<a> stays open");
}

TEST(ReportHtml, EscapesEveryTextFromOutside) {
  const std::string hostile = "<i>\"&'";
  test::SampleSpec spec;
  spec.label = hostile + "label";
  spec.parts = {{hostile + "U", "pbga", {120, 140}, {35, 35}, 0.68},
                {hostile + "V", "qfp", {0, 0}, {0, 0}, 0.3, "top-left"}};
  Assessment assessment = test::SampleAssessment(spec);
  assessment.held = hostile + "held";
  assessment.passed_over = {hostile + "passed"};
  assessment.notes = {hostile + "note"};
  assessment.calib_origin = hostile + "calib";
  assessment.used[0].name = hostile + "station";
  assessment.used[0].id = hostile + "id";
  assessment.flatness.limit.source = hostile + "limit";
  assessment.flatness.limit.meaning = hostile + "meaning";
  assessment.flatness.not_measured = {hostile + "open"};
  assessment.flatness.next_reading = hostile + "next";
  assessment.recommended.because = {hostile + "why"};
  assessment.recommended.cautions = {hostile + "care"};
  assessment.surface->outliers = {{hostile + "out", hostile + "where", 1, 2, 0.1, 0.001}};
  assessment.surface->order = hostile + "order";
  const std::string page = ReportHtml(
      assessment, {{hostile + "e", hostile + "at", hostile + "text", false}}, *assessment.read_at);
  EXPECT_THAT(page, Not(HasSubstr("<i>")));
  EXPECT_THAT(page, Not(HasSubstr("<I>")));
  EXPECT_EQ(NestingFault(page), "");
  for (const char* text : {"label",   "U",   "V",     "held",    "passed", "note", "calib",
                           "station", "id",  "limit", "meaning", "open",   "next", "why",
                           "care",    "out", "where", "order",   "e",      "at",   "text"}) {
    EXPECT_THAT(page, HasSubstr(std::string("&lt;i&gt;&quot;&amp;&#39;") + text)) << text;
  }
}

TEST(ReportHtml, WhatThePhotosShowedStandsWithItsWordsOrIsSaidToBeGone) {
  const auto now = ParseInstant("2026-03-04T09:00:00+01:00", "test").value();
  const std::string uri = "data:image/svg+xml;base64,PHN2Zy8+";
  const std::vector<SeenPicture> seen = {
      {"e4", "2026-03-03 10:00", "photos/e4-seen.svg", uri, "Lines <are> magnified."},
      {"e2", "2026-03-02 10:00", "photos/e2-seen.svg", "", "it is not there & was"}};
  const std::string page =
      ReportHtml(test::SampleAssessment(), kHistory, now, Calib::Embedded(), nullptr, {}, seen);
  EXPECT_EQ(NestingFault(page), "");
  EXPECT_THAT(page, HasSubstr("<h2>What the photos showed</h2>"));
  EXPECT_THAT(page, HasSubstr("<img src=\"" + uri + "\" alt="));
  EXPECT_THAT(page, HasSubstr("e4, 2026-03-03 10:00. Lines &lt;are&gt; magnified."));
  EXPECT_THAT(page,
              HasSubstr("<p>e2, 2026-03-02 10:00: photos/e2-seen.svg cannot be shown: it is not "
                        "there &amp; was</p>"));
  EXPECT_THAT(Page(test::SampleAssessment()), Not(HasSubstr("What the photos showed")));
}

TEST(ReportHtml, TheFiveAnswersStandAboveTheDrawings) {
  const std::string page = Page(test::SampleAssessment());
  const std::size_t drawing = page.find("<svg");
  for (const auto& [question, answer] :
       report::FiveAnswers(test::SampleAssessment(), Calib::Embedded())) {
    const std::size_t at = page.find(">" + question + "<");
    ASSERT_NE(at, std::string::npos) << question;
    EXPECT_LT(at, drawing) << question;
  }
}

TEST(ReportHtml, EveryDrawingHasItsTableAndItsWords) {
  const std::string page = Page(test::SampleAssessment());
  for (const char* part : {"The four edges in figures",
                           "Spot heights over the best plane",
                           "Readings that count",
                           "Share of the allowed bend at each part",
                           "Where the numbers come from",
                           "usual glass-epoxy",
                           "U7 (top-left)",
                           "What was seen and done",
                           "out of use:",
                           "Take care",
                           "Notes",
                           "Not measured yet"}) {
    EXPECT_THAT(page, HasSubstr(part));
  }
}

// A verdict is a word wherever it has a colour: without the style sheet nothing is lost.
TEST(ReportHtml, VerdictsAreWords) {
  const std::string page = Page(test::SampleAssessment());
  for (const char* kind : {"<span class=\"verdict over\">", "<span class=\"verdict within\">"}) {
    const std::string word =
        std::string(kind).find("over") != std::string::npos ? "over" : "within";
    std::size_t count = 0;
    for (std::size_t at = page.find(kind); at != std::string::npos;
         at = page.find(kind, at + 1), ++count) {
      EXPECT_EQ(page.substr(at + std::string(kind).size(), word.size()), word);
    }
    EXPECT_GT(count, 0U) << kind;
  }
}

TEST(ReportHtml, SaysWhenNothingWasRead) {
  const std::string page = Page(test::SampleAssessment({}, false));
  EXPECT_THAT(page, HasSubstr("not measured yet"));
  EXPECT_THAT(page, HasSubstr("needs a straightedge along AB"));
  EXPECT_THAT(page, Not(HasSubstr("The board as a sheet")));
  EXPECT_THAT(page, HasSubstr("not read"));
}

TEST(ReportHtml, TheBowOfSomeEdgesIsNotThatOfTheBoard) {
  test::SampleSpec spec;
  spec.unread = {Edge::kCD};
  // One edge over the limit decides, whatever the others would show; within it they could.
  EXPECT_THAT(Page(test::SampleAssessment(spec)), HasSubstr("Bow, the largest of the edges read<"));
  EXPECT_THAT(Page(test::SampleAssessment(spec)), Not(HasSubstr("not all edges are read")));
  spec.gaps_mm = {0.4, 0.3, 0.0, 0.2};
  EXPECT_THAT(Page(test::SampleAssessment(spec)), HasSubstr("Bow, the largest of the edges read<"));
  EXPECT_THAT(Page(test::SampleAssessment(spec)), HasSubstr("not all edges are read"));
  EXPECT_THAT(Page(test::SampleAssessment()), HasSubstr("Bow, the largest of the edges<"));
}

// Who reads the page has no command line before them.
TEST(ReportHtml, AsksWithoutFlags) {
  EXPECT_EQ(report::WithoutFlags("is it so (--aspect so), or not (--aspect not-so)"),
            "is it so, or not");
  EXPECT_EQ(report::WithoutFlags("a power-on test (lieflat works): it may stay if it works"),
            "a power-on test: it may stay if it works");
  EXPECT_EQ(report::WithoutFlags("width of the mark (at most 2)"), "width of the mark (at most 2)");
  EXPECT_EQ(report::WithoutFlags("never closed (--aspect"), "never closed (--aspect");
}

TEST(ReportHtml, NamesOtherNumbersThanTheEmbeddedOnes) {
  Assessment assessment = test::SampleAssessment();
  EXPECT_THAT(Page(assessment), Not(HasSubstr("Numbers relied on")));
  assessment.calib_origin = "my-calib: acceptance.json";
  EXPECT_THAT(Page(assessment), HasSubstr("Numbers relied on: my-calib: acceptance.json"));
}

}  // namespace
}  // namespace lieflat
