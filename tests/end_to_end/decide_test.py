"""Deciding before anything is tried: what a night keeps, what it would take, what that would do; the bench; the lot's dates."""
from program import ProgramTest, unittest

BENT = "edge,side,at_mm,go_mm,no_go_mm\nAB,solder,,5.15,5.20\nBC,solder,,0.10,0.15\nCD,solder,,5.10,5.15\nDA,solder,,0.10,0.15\n"


class Decide(ProgramTest):
    def bent_board(self):
        """1.7 % of bow over 305 mm, needed flat for its cards, one large ball-grid chip in the middle."""
        self.run_program("new", "crate/021", "--size", "305x244", "--mass", 620, "--need", "cards", "--works", "yes", "--year", 2004)
        for ref, kind, at, size in (("U1", "pbga", "150,120", "35x35"), ("U7", "qfp", "230,60", "20x20"),
                                    ("C1", "electrolytic", "40,40", "10x10")):
            self.run_program("part", "crate/021", "add", ref, "--class", kind, "--at", at, "--size", size)
        self.write("bent.csv", BENT)
        self.run_program("gauge", "crate/021", "bent.csv", "--temperature", 21, "--when", "2026-03-02T20:00:00+01:00")
        self.run_program("gauge", "crate/021", "--rest", "upright", "--strips", "DA,BC", "--strip-length", 600, "--tip-difference", 1.0,
                         "--temperature", 21, "--when", "2026-03-02T20:10:00+01:00")
        return "crate/021"

    def options(self, document):
        return {option["name"]: option for option in document["options"]}

    def test_a_large_ball_grid_chip_decides(self):
        board = self.bent_board()
        text = self.run_program("assess", board).stdout
        document = self.document("assess", board)
        self.assertAlmostEqual(1.7, document["flatness"]["bow_percent"], delta=0.06)
        # A night at room temperature changes less than the gauge can show: all of its interval, before anything is tried.
        self.assertLess(document["night_gain_mm"][2], 0.22)
        self.assertIn("A night held flat keeps", text)
        self.assertIn("less than the 0.22 mm", " ".join(text.split()))
        # What it would take: a day at 70 C, the parts on. What that does to the chip: more than it is allowed.
        options = self.options(document)
        self.assertGreater(options["press-warm"]["gain_mm"][1], 0.22)
        self.assertGreater(options["press-warm"]["worst_share"], 1.0)
        worst = max(document["parts"], key=lambda part: part["share"])
        self.assertEqual(("U1", "high"), (worst["ref"], worst["rating"]))
        self.assertEqual("sell", document["recommended"])
        self.assertTrue(any("not pressed warm: the chance of damage" in why.lower() for why in document["because"]), document["because"])
        # Without the chip nothing stands against it, though it is said that one press does not get it within the limit.
        self.run_program("part", board, "remove", "U1")
        without = self.document("assess", board)
        self.assertEqual("press-warm", without["recommended"])
        self.assertIn("which leaves it over the limit", without["because"][0])

    def test_what_the_bench_has_not_is_not_recommended(self):
        board = self.bent_board()
        self.run_program("part", board, "remove", "U1")
        self.assertEqual("press-warm", self.document("lot", "crate")["rows"][0]["recommended"])
        self.document("bench", "crate", "--tools", "none", "--skills", "none")
        row = self.document("lot", "crate")["rows"][0]  # what was kept does not outlive the answer
        self.assertEqual("sell", row["recommended"])
        blocked = self.options(self.document("assess", board))["press-warm"]["blocked_by"]
        self.assertEqual(["the bench profile names nothing that keeps it warm for a day"], blocked)
        self.document("bench", "crate", "--tools", "warm-box")
        self.assertEqual("press-warm", self.document("assess", board)["recommended"])
        self.assertIn("Tools   warm-box", self.run_program("bench", "crate").stdout)

    def test_the_next_action_has_its_date(self):
        board = self.bent_board()
        self.assertNotIn("due", self.document("lot", "crate")["rows"][0])
        self.document("pressed", board, "--way", "weights", "--load-kg", 5, "--from", "2026-03-03T20:00:00+01:00",
                      "--to", "2026-03-04T08:00:00+01:00", "--temperature", 21)
        row = self.document("lot", "crate")["rows"][0]
        self.assertEqual("2026-03-04T20:00:00+01:00", row["due"])  # twelve hours after it was freed
        self.assertIn("rested", row["next_action"])
        self.assertIn(",2026-03-04T20:00:00+01:00,", self.run_program("lot", "crate", "--csv").stdout)
        self.run_program("gauge", board, "bent.csv", "--temperature", 21, "--when", "2026-03-05T09:00:00+01:00")
        self.assertNotIn("due", self.document("lot", "crate")["rows"][0])

    def test_a_label_for_spares(self):
        board = self.bent_board()
        self.document("damage", board, "add", "--kind", "missing-part", "--near", "C1")
        lines = self.document("report", board, "--spares")["lines"]
        text = "\n".join(lines)
        self.assertIn("Missing   C1", text)
        self.assertIn("U1, ball-grid chip, plastic (PBGA): bent to", text)
        self.assertLess(text.index("Suspect"), text.index("U1"))
        self.assertTrue(all(len(line) <= 80 for line in lines), lines)


if __name__ == "__main__":
    unittest.main()
