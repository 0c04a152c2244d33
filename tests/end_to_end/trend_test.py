"""Holds written down, and the board followed over them."""
import re

from program import ProgramTest, unittest

EDGES = "edge,side,at_mm,go_mm,no_go_mm\nAB,solder,,{:.2f},{:.2f}\nBC,solder,,0.50,0.55\nCD,solder,,1.40,1.45\nDA,solder,,0.50,0.55\n"


class Trend(ProgramTest):
    def board(self, *parts, year=2015):
        self.run_program("new", "b", "--size", "305x244", "--mass", 640, "--need", "case", "--works", "yes", "--year", year)
        for ref, kind, at, size in parts:
            self.run_program("part", "b", "add", ref, "--class", kind, "--at", at, "--size", size)
        return "b"

    def read(self, gap, when):
        self.write("up.csv", EDGES.format(gap, gap + 0.05))
        self.run_program("gauge", "b", "up.csv", "--temperature", 21, "--when", when)

    def held(self, day, *more):
        return self.document("pressed", "b", "--way", "weights", "--load-kg", 5, "--from", f"2026-03-{day:02}T20:30:00+01:00",
                             "--to", f"2026-03-{day + 1:02}T08:00:00+01:00", "--temperature", 21, *more)

    def days(self, rested, start=5.0, first=2, back=0.4):
        """A first reading three times, then one hold a night: read just freed and rested."""
        for minute in (0, 10, 20):
            self.read(start, f"2026-03-{first:02}T19:{minute:02}:00+01:00")
        for night, gap in enumerate(rested):
            day = first + night
            self.held(day)
            self.read(gap - back, f"2026-03-{day + 1:02}T08:10:00+01:00")
            self.read(gap, f"2026-03-{day + 1:02}T20:10:00+01:00")

    def test_what_looks_like_success_just_freed_is_none_rested(self):
        self.board(("J1", "slot", "200,120", "12x138"))
        self.days([5.0, 4.95, 5.0, 4.95, 5.0])
        found = self.document("trend", "b")
        self.assertEqual(["first"] * 3 + ["just-freed", "rested"] * 5, [r["state"] for r in found["readings"]])
        self.assertLess(found["change"]["just_freed_mm"], -0.3)
        self.assertFalse(found["change"]["detectable"])
        self.assertEqual("nothing", found["stop"]["rule"])
        self.assertIn("Do not be misled", self.run_program("trend", "b").stdout)

    def test_a_board_that_yields_is_told_to_go_on_and_then_that_it_is_there(self):
        self.board(("J1", "slot", "200,120", "12x138"))
        self.days([4.90, 4.80, 4.70])
        found = self.document("trend", "b")
        self.assertTrue(found["change"]["detectable"])
        self.assertEqual("go-on", found["stop"]["rule"])
        ahead = [f["p50"] for f in found["forecast"]]
        self.assertEqual([1, 3, 10], [f["holds"] for f in found["forecast"]])
        self.assertEqual(sorted(ahead, reverse=True), ahead)
        for row in found["forecast"]:
            self.assertLess(row["p5"], row["p25"])
            self.assertLess(row["p75"], row["p95"])
        # What it kept of its own counts for more than what was thought before.
        self.assertGreater(found["kept"]["with_readings"][1], found["kept"]["foreseen"][1])
        # 0.75 % of 305 mm are 2.29 mm.
        self.assertAlmostEqual(2.2875, found["target_mm"], places=4)

    def test_flat_enough(self):
        self.board(("J1", "slot", "200,120", "12x138"))
        # The limit is 2.29 mm; nothing here is more than creep may do.
        self.days([2.25, 2.20, 2.15, 2.15], start=2.35, back=0.1)
        found = self.document("trend", "b")
        self.assertEqual([], found["steps"])
        self.assertEqual("target", found["stop"]["rule"])

    def test_a_step_is_asked_about(self):
        self.board(("J1", "slot", "200,120", "12x138"))
        self.read(5.0, "2026-03-02T20:00:00+01:00")
        self.read(5.0, "2026-03-02T20:05:00+01:00")
        self.read(3.9, "2026-03-05T20:00:00+01:00")
        found = self.document("trend", "b")
        self.assertEqual("step", found["stop"]["rule"])
        self.assertIn("without being held", found["steps"][0])

    def test_told_afterwards_in_round_figures(self):
        self.board()
        done = self.document("pressed", "b", "--way", "weights", "--load-kg", 5, "--hours", "overnight", "--about")
        self.assertTrue(any("nobody can tell what it did" in note for note in done["notes"]), done["notes"])
        self.read(3.0, "2026-03-12T20:00:00+00:00")
        found = self.document("trend", "b")
        self.assertTrue(found["holds"][0]["about"])
        self.assertFalse(found["change"]["detectable"])
        self.assertIn("nobody can tell", found["change"]["why"])

    def test_beyond_the_budget_it_is_refused_unless_anyway_and_what_was_done_is_logged(self):
        # U1 of 35 mm at 5 mm of bow: the joints of such a part stand about 20 presses, a tenth of that are 2.
        self.board(("U1", "pbga", "150,120", "35x35"))
        self.read(5.0, "2026-03-02T19:00:00+01:00")
        left = self.document("trend", "b")["budget"]["presses_left"]
        self.assertGreater(left, 0)
        for night in range(left):
            self.held(3 + night)
        refused = self.run_program("pressed", "b", "--way", "weights", "--load-kg", 5, status=3)
        self.assertIn("no press is left", refused.stderr)
        done = self.held(3 + left)
        self.assertTrue(any(note.startswith("Warning: no press is left") for note in done["notes"]), done["notes"])
        started = self.document("pressed", "b", "--way", "weights", "--load-kg", 5, "--anyway")
        self.assertTrue(started["written"]["anyway"])
        self.assertEqual("risk", self.document("trend", "b")["stop"]["rule"])

    def test_warmer_than_the_most_delicate_part_stands(self):
        self.board(("BT1", "battery", "40,40", "20x20"))
        refused = self.run_program("pressed", "b", "--way", "plates", "--temperature", 60, status=3)
        self.assertIn("60 C is warmer than the 45 C that it stands", refused.stderr)
        self.run_program("pressed", "b", "--way", "plates", "--temperature", 40)
        self.run_program("pressed", "b", "--end", "--to", "2026-03-12T21:00:00+00:00", status=2)

    def test_begun_and_ended_later(self):
        self.board()
        self.run_program("pressed", "b", "--way", "plates", "--from", "2026-03-11T20:00:00+00:00", "--temperature", 21)
        self.run_program("pressed", "b", "--end", "--to", "2026-03-12T08:00:00+00:00")
        self.run_program("pressed", "b", "--end", status=3)
        self.read(3.0, "2026-03-12T19:00:00+00:00")
        hold = self.document("trend", "b")["holds"][0]
        self.assertEqual(("2026-03-11T20:00:00+00:00", "2026-03-12T08:00:00+00:00"), (hold["from"], hold["to"]))

    def test_like_is_compared_with_like(self):
        self.board()
        for when in ("2026-03-02T20:00:00+01:00", "2026-03-02T20:10:00+01:00"):
            self.read(5.0, when)
        self.write("rule.csv", EDGES.format(4.0, 4.5))
        self.run_program("gauge", "b", "rule.csv", "--instrument", "steel-rule", "--when", "2026-03-04T20:00:00+01:00")
        found = self.document("trend", "b")
        self.assertEqual(2, len(found["readings"]))
        self.assertEqual(1, len(found["passed_over"]))
        self.assertEqual([], found["steps"])

    def test_what_is_foreseen_stays_inside_the_frame(self):
        # One hour held: the chart has room for two holds ahead, and the table has none of two. Bent far, so that they differ.
        self.board()
        self.run_program("set", "b", "--limit", "2.5")
        for minute in (0, 10, 20):
            self.read(8.0, f"2026-03-02T19:{minute:02}:00+01:00")
        self.document("pressed", "b", "--way", "weights", "--load-kg", 5, "--from", "2026-03-02T19:30:00+01:00",
                      "--to", "2026-03-02T20:30:00+01:00", "--temperature", 21)
        self.read(7.8, "2026-03-02T20:35:00+01:00")
        chart = self.run_program("export", "b", "trend").stdout
        top, bottom = 14.0, 262.0
        bands = re.findall(r'class="band(?:90|50)" d="([^"]+)"', chart)
        self.assertEqual(2, len(bands))
        for band in bands:
            heights = [float(y) for y in re.findall(r"[-\d.]+[, ]([-\d.]+)", band)]
            self.assertGreater(len(heights), 4)
            self.assertTrue(all(top <= y <= bottom for y in heights), heights)

    def test_the_report_has_the_chart(self):
        self.board(("J1", "slot", "200,120", "12x138"))
        self.days([4.95, 5.0, 4.95])
        self.run_program("report", "b", "-o", "r.html")
        page = (self.folder / "r.html").read_text(encoding="utf-8")
        self.assertEqual(3, page.count('class="hold"'))
        self.assertEqual(3, page.count('class="freed"'))
        self.assertIn('class="band90"', page)


if __name__ == "__main__":
    unittest.main()
