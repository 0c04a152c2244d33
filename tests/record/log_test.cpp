#include "lieflat/record/log.h"

#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

std::string Common(const std::string& id, const std::string& kind) {
  return R"({"id": ")" + id + R"(", "kind": ")" + kind +
         R"(", "at": "2026-03-02T20:00:00+01:00", "by_version": "0.1.0", "fitted": [])";
}

std::string Note(const std::string& id, const std::string& text = "seen") {
  return Common(id, "note") + R"(, "text": ")" + text + "\"}\n";
}

std::string Void(const std::string& id, const std::string& target) {
  return Common(id, "void") + R"(, "target": ")" + target + R"(", "reason": "wrong board"})" + "\n";
}

std::string Works(const std::string& id, const std::string& at, const std::string& state) {
  return R"({"id": ")" + id + R"(", "kind": "works", "at": ")" + at +
         R"(", "by_version": "0.1.0", "state": ")" + state + "\"}\n";
}

TEST(Log, AnEmptyLogIsALog) {
  const auto log = ParseLog("", "log.jsonl");
  ASSERT_TRUE(log);
  EXPECT_TRUE(log->entries.empty());
  EXPECT_TRUE(log->warnings.empty());
  EXPECT_EQ(log->NextId(), "e1");
  EXPECT_EQ(log->WorksNow("partly"), "partly");
}

TEST(Log, EveryKindIsRead) {
  const std::string text =
      Note("e1") + Common("e2", "gauge") +
      R"(, "reading": {"rest": "upright", "down": "solder", "reading": "under", "rows": [)"
      R"({"edge": "AB", "side": "component", "gap_mm": 1.2, "u_mm": 0.1}]}})" +
      "\n" + Common("e3", "glance") +
      R"(, "look": {"length_mm": 305, "width_mm": 244, "works": "yes", "need": "none"}, )"
      R"("sorted": "leave", "because": ["it works"]})" +
      "\n" + Works("e4", "2026-03-02T21:00:00+01:00", "yes") + Void("e5", "e1") +
      Common("e6", "verdict") + R"(, "anything": {"of": ["a", "later", "version"]}})" + "\n" +
      Common("e7", "hold-start") + R"(, "hold": "h1", "way": "weights", "load_kg": 5})" + "\n";
  const auto log = ParseLog(text, "log.jsonl");
  ASSERT_TRUE(log) << log.error().Text();
  ASSERT_EQ(log->entries.size(), 7U);
  EXPECT_TRUE(log->warnings.empty());
  EXPECT_EQ(log->whole_bytes, text.size());
  const Entry* gauge = log->Find("e2");
  ASSERT_NE(gauge, nullptr);
  ASSERT_TRUE(gauge->gauge);
  EXPECT_EQ(gauge->gauge->rows.size(), 1U);
  EXPECT_EQ(gauge->line, 2);
  EXPECT_EQ(gauge->at.Iso(), "2026-03-02T20:00:00+01:00");
  EXPECT_TRUE(log->Find("e1")->voided);
  EXPECT_EQ(log->Find("e1")->void_reason, "wrong board");
  EXPECT_EQ(log->Find("e8"), nullptr);
  EXPECT_EQ(log->NextId(), "e8");
}

TEST(Log, IdsGoOnAfterTheLargestVoidedOrNot) {
  const auto log = ParseLog(Note("e9") + Note("e2") + Void("e10", "e9") + Note("e4"), "l");
  ASSERT_TRUE(log) << log.error().Text();
  EXPECT_EQ(log->NextId(), "e11");
}

TEST(Log, AVoidThatIsVoidedBringsItsTargetBack) {
  const auto log = ParseLog(Note("e1") + Void("e2", "e1") + Void("e3", "e2"), "l");
  ASSERT_TRUE(log);
  EXPECT_FALSE(log->Find("e1")->voided);
  EXPECT_TRUE(log->Find("e2")->voided);
  const auto again =
      ParseLog(Note("e1") + Void("e2", "e1") + Void("e3", "e2") + Void("e4", "e3"), "l");
  ASSERT_TRUE(again);
  EXPECT_TRUE(again->Find("e1")->voided);
}

TEST(Log, NewestStandingWorksEntryWins) {
  const std::string late = Works("e1", "2026-03-05T10:00:00+01:00", "yes");
  const std::string early = Works("e2", "2026-03-04T10:00:00+01:00", "no");
  EXPECT_EQ(ParseLog(late + early, "l")->WorksNow("untested"), "yes");
  EXPECT_EQ(ParseLog(late + early + Void("e3", "e1"), "l")->WorksNow("untested"), "no");
  // Of two with one time the later in the file wins.
  const std::string same = Works("e4", "2026-03-05T09:00:00+00:00", "partly");
  EXPECT_EQ(ParseLog(late + same, "l")->WorksNow("untested"), "partly");
  EXPECT_EQ(ParseLog(late + early, "l")->WorksTestedAt()->Short().substr(0, 10), "2026-03-05");
  EXPECT_FALSE(ParseLog(late + Void("e2", "e1"), "l")->WorksTestedAt());
}

TEST(Log, ATornLastLineIsReportedAtEveryByte) {
  const std::string whole = Note("e1") + Note("e2");
  const std::string last = Note("e3", "caf\xC3\xA9");
  for (std::size_t bytes = 1; bytes < last.size(); ++bytes) {
    SCOPED_TRACE(bytes);
    const auto log = ParseLog(whole + last.substr(0, bytes), "log.jsonl");
    ASSERT_TRUE(log) << log.error().Text();
    EXPECT_EQ(log->entries.size(), 2U);
    EXPECT_EQ(log->whole_bytes, whole.size());
    ASSERT_EQ(log->warnings.size(), 1U);
    EXPECT_EQ(log->warnings[0],
              "log.jsonl:3: the last line is torn (" + std::to_string(bytes) +
                  " bytes) and passed over; the next entry moves it to log.torn");
  }
  EXPECT_EQ(ParseLog(whole + last, "log.jsonl")->entries.size(), 3U);
  // Blocks of a write may reach the disk in any order; what did not is zero.
  for (std::size_t bytes = 1; bytes < last.size(); ++bytes) {
    SCOPED_TRACE(bytes);
    const auto log = ParseLog(whole + std::string(bytes, '\0') + last.substr(bytes), "log.jsonl");
    ASSERT_TRUE(log) << log.error().Text();
    EXPECT_EQ(log->entries.size(), 2U);
    EXPECT_EQ(log->whole_bytes, whole.size());
    EXPECT_EQ(log->warnings.size(), 1U);
  }
}

struct Fault {
  std::string line, error;
};

void ExpectFaults(const std::vector<Fault>& cases) {
  for (const Fault& c : cases) {
    SCOPED_TRACE(c.line);
    const auto log = ParseLog(Note("e1") + c.line + "\n" + Note("e9"), "log.jsonl");
    ASSERT_FALSE(log);
    EXPECT_EQ(log.error().code, ErrorCode::kRefused);
    EXPECT_EQ(log.error().Text(), c.error);
  }
}

TEST(Log, FaultsOfTheCommonFields) {
  ExpectFaults({
      {"", "log.jsonl:2: empty (a JSON object is expected)"},
      {"{\"id\": nix}",
       "log.jsonl:2, column 9: not valid JSON: invalid literal; last read: '\"id\": ni' (look for "
       "a "
       "missing or extra comma, quote or bracket there)"},
      {"[]",
       "log.jsonl:2: expected an object in braces, found a list (write {\"name\": value, ...})"},
      {R"({"kind": "note"})", "log.jsonl:2, id: is missing (add \"id\": a text in quotes)"},
      {Common("7", "note") + "}",
       "log.jsonl:2, id: \"7\" is no entry's name (names are e1, e2, e3 ...)"},
      {Common("e01", "note") + "}",
       "log.jsonl:2, id: \"e01\" is no entry's name (names are e1, e2, e3 ...)"},
      {Common("e1", "note") + "}",
       "log.jsonl:2, id: \"e1\" stands twice in this log (each entry has its own)"},
      {Common("e2", "notes") + "}",
       "log.jsonl:2, kind: \"notes\" is not one of: glance, gauge, photo, damage, works, "
       "hold-start, hold-end, verdict, note, void (did you mean \"note\"?)"},
      {R"({"id": "e2", "kind": "note", "at": "today", "by_version": "0.1.0", "text": "x"})",
       "log.jsonl:2, at: \"today\" is not a date, a time and an offset from UTC (write it as "
       "2026-03-02T20:00:00+01:00)"},
      {R"({"id": "e2", "kind": "note", "at": "2026-03-02T20:00:00Z", "text": "x"})",
       "log.jsonl:2, by_version: is missing (add \"by_version\": a text in quotes)"},
      {R"({"id": "e2", "kind": "note", "at": "2026-03-02T20:00:00Z", "by_version": "0.1.0", )"
       R"("fitted": [1], "text": "x"})",
       "log.jsonl:2, fitted: holds something that is no text (write words in quotes)"},
  });
}

TEST(Log, FaultsOfEachKind) {
  ExpectFaults({
      {Common("e2", "note") + "}",
       "log.jsonl:2, text: is missing (add \"text\": a text in quotes)"},
      {Common("e2", "note") + R"(, "text": "x", "txt": 1})",
       "log.jsonl:2, txt: is not a field that is known here (did you mean \"text\"?)"},
      {Common("e2", "works") + R"(, "state": "maybe"})",
       "log.jsonl:2, state: \"maybe\" is not one of: yes, partly, no, untested (use one of these "
       "words)"},
      {Common("e2", "void") + R"(, "target": "e7", "reason": "x"})",
       "log.jsonl:2, target: \"e7\" is no earlier entry of this log (ids run from e1 to e1)"},
      {Common("e2", "void") + R"(, "target": "e1"})",
       "log.jsonl:2, reason: is missing (add \"reason\": a text in quotes)"},
      {Common("e2", "gauge") + "}", "log.jsonl:2, reading: is missing (add \"reading\": { ... })"},
      {Common("e2", "gauge") + R"(, "reading": {"rest": "lying"}})",
       "log.jsonl:2, reading.rest: \"lying\" is not one of: upright, points, table, free (use one "
       "of these words)"},
      {Common("e2", "glance") + R"(, "look": {}, "sorted": "leave"})",
       "log.jsonl:2, look.length_mm: is missing (add \"length_mm\": a number)"},
  });
}

std::string Damage(const std::string& id, const std::string& fields) {
  return Common(id, "damage") + ", " + fields + "}\n";
}

TEST(Log, MarksStandAsLaterEntriesLeftThem) {
  const std::string scratch = R"("damage": {"kind": "scratch", "at_mm": [[1, 2]]})";
  const auto log = ParseLog(
      Damage("e1", scratch) + Damage("e2", scratch) +
          Damage("e3",
                 R"("mark": "e1", "depth": "copper", "measures": {"width": {"value": 0.3}})") +
          Damage("e4", R"("mark": "e1", "state": "repaired", "note": "wire")") +
          Damage("e5", R"("mark": "e2", "state": "accepted")") + Void("e6", "e2") +
          Damage("e7", scratch) + Damage("e8", R"("mark": "e7", "state": "repaired")") +
          Void("e9", "e8"),
      "log.jsonl");
  ASSERT_TRUE(log) << log.error().Text();
  const auto marks = MarksOf(*log, Calib::Embedded());
  ASSERT_EQ(marks.size(), 2U) << "a voided mark is none, nor what changed of it";
  EXPECT_EQ(marks[0].id, "e1");
  EXPECT_EQ(marks[0].depth, "copper");
  EXPECT_EQ(marks[0].measures.at("width").value, 0.3);
  EXPECT_EQ(marks[0].state, MarkState::kRepaired);
  EXPECT_EQ(marks[0].state_note, "wire");
  EXPECT_EQ(marks[1].id, "e7");
  EXPECT_EQ(marks[1].state, MarkState::kOpen) << "the change is voided";
}

TEST(Log, ALaterFormatIsRefusedByName) {
  ExpectFaults({
      {Common("e2", "scan") + R"(, "format_version": 2})",
       "log.jsonl:2, format_version: entry format 2 (written by version 0.1.0) is later than 1, "
       "the latest this program reads (use a newer version of the program for this board)"},
  });
  EXPECT_TRUE(
      ParseLog(Common("e1", "note") + R"(, "format_version": 1, "text": "x"})" + "\n", "l"));
}

std::string Hold(const std::string& id,
                 const std::string& kind,
                 const std::string& at,
                 const std::string& fields) {
  return R"({"id": ")" + id + R"(", "kind": ")" + kind + R"(", "at": "2026-03-)" + at +
         R"(T20:00:00Z", "by_version": "0.1.0", )" + fields + "}\n";
}

// Start and end of a hold are put together by its name; what is voided is none; the order is that
// of the starts, however late they were written down.
TEST(Log, HoldsArePutTogether) {
  const auto log = ParseLog(
      Hold("e1", "hold-start", "05", R"("hold": "h2", "way": "plates", "load_kg": 8)") +
          Hold("e2", "hold-start", "02", R"("hold": "h1", "way": "weights")") +
          Hold("e3", "hold-end", "03", R"("hold": "h1")") +
          Hold("e4", "hold-start", "07", R"("hold": "h3", "way": "clamps")") + Void("e5", "e4"),
      "log.jsonl");
  ASSERT_TRUE(log) << log.error().Text();
  const auto holds = HoldsOf(*log);
  ASSERT_EQ(holds.size(), 2U);
  EXPECT_EQ(holds[0].id, "h1");
  EXPECT_EQ(holds[0].Hours(), 24.0);
  EXPECT_EQ(holds[1].id, "h2");
  EXPECT_EQ(holds[1].load_kg, 8.0);
  EXPECT_FALSE(holds[1].to) << "it is held still";
}

TEST(Log, FaultsOfHoldsAndMarks) {
  const std::string started = Hold("e2", "hold-start", "02", R"("hold": "h1", "way": "weights")");
  const std::string ended = Hold("e3", "hold-end", "03", R"("hold": "h1")");
  const auto error = [](const std::string& text) {
    const auto log = ParseLog(Note("e1") + text, "log.jsonl");
    return log ? std::string("read") : log.error().Text();
  };
  EXPECT_EQ(error(started + Hold("e4", "hold-start", "04", R"("hold": "h1", "way": "plates")")),
            "log.jsonl:3, hold: \"h1\" was started before (each hold has its own name)");
  EXPECT_EQ(error(ended), "log.jsonl:2, hold: \"h1\" was not started (name a hold that is open)");
  EXPECT_EQ(error(started + ended + Hold("e4", "hold-end", "04", R"("hold": "h1")")),
            "log.jsonl:4, hold: \"h1\" has ended before (name a hold that is open)");
  EXPECT_TRUE(error(Hold("e2", "hold-start", "02", R"("way": "weights")"))
                  .starts_with("log.jsonl:2, hold: is missing"));
  EXPECT_EQ(error(Damage("e2", R"("mark": "e1", "state": "repaired")")),
            "log.jsonl:2, mark: \"e1\" is no mark of damage (name the entry that made it)");
  EXPECT_TRUE(error(Damage("e2", R"("mark": "e7", "state": "repaired")"))
                  .starts_with("log.jsonl:2, mark: \"e7\" is no earlier entry"));
  EXPECT_TRUE(error(Damage("e2", R"("mark": "e1", "depth": "deep")"))
                  .starts_with("log.jsonl:2, depth: \"deep\" is not one of"));
  EXPECT_EQ(
      error(Damage("e2", R"("damage": {"kind": "scratch"})")),
      "log.jsonl:2, damage.at_mm: the mark has no place (give a place, the nearest part, or a "
      "region of the board)");
}

// Readings by photo: three heights with their covariance, 0.01 mm each, in square micrometres.
TEST(Log, ReadingsByPhoto) {
  const std::string reading =
      R"("reading": {"pose": "lying", "rest": "table", "down": "solder", "sheet": "lay-a3/1", )"
      R"("photos": 5, "points": [{"name": "A", "x_mm": 5, "y_mm": 5, "height_mm": 0.1}, )"
      R"({"name": "B", "x_mm": 295, "y_mm": 5, "height_mm": -0.1}, )"
      R"({"name": "12", "x_mm": 150, "y_mm": 100, "height_mm": 0.2}], )"
      R"("covariance_um2": [100, 0, 100, 0, 0, 100]})";
  const auto log = ParseLog(
      Common("e1", "photo") + ", " + reading + R"(, "seen": "photos/1.jpg"})" + "\n", "log.jsonl");
  ASSERT_TRUE(log) << log.error().Text();
  ASSERT_TRUE(log->entries[0].photo);
  EXPECT_EQ(log->entries[0].photo->points.size(), 3U);
  EXPECT_NEAR(log->entries[0].photo->covariance_mm2(1, 1), 1e-4, 1e-12);
  EXPECT_EQ(log->entries[0].held()->rest, Rest::kTable);
  ExpectFaults({{Common("e2", "photo") + "}",
                 "log.jsonl:2, reading: is missing (add \"reading\": { ... })"}});
  const auto hung =
      ParseLog(Common("e1", "photo") + R"(, "reading": {"pose": "hung"}})" + "\n", "log.jsonl");
  ASSERT_FALSE(hung);
  EXPECT_EQ(hung.error().where, "log.jsonl:1, reading.pose");
}

}  // namespace
}  // namespace lieflat
