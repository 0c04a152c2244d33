"""Marks of damage from the command line to the decision."""
from program import ProgramTest, unittest


class Damage(ProgramTest):
    def part(self, board, ref):
        found = self.document("assess", board)
        return found, next(p for p in found["parts"] if p["ref"] == ref)

    def test_a_crack_beside_a_part_changes_what_is_said_of_it(self):
        board = self.sample_crate() + "/003"
        before, u1 = self.part(board, "U1")
        # U1 of this board spans x 102.5 to 137.5, y 122.5 to 157.5; its bow is along x, so a line along y lies across it.
        done = self.document("damage", board, "add", "--kind", "crack", "--at", "145,120", "--to", "145,160", "--depth", "through")
        mark = done["marks"][0]
        self.assertEqual(("defect", ["U1"], 0.5), (mark["outcome"], mark["near"], mark["limit_factor"]))
        after, cracked = self.part(board, "U1")
        self.assertAlmostEqual(0.5 * u1["allowed_strain_ue"], cracked["allowed_strain_ue"], places=3)
        self.assertAlmostEqual(2.0 * u1["share"], cracked["share"], places=3)
        self.assertGreater(cracked["damage_probability"], 3 * u1["damage_probability"])
        self.assertEqual(("moderate", "high"), (u1["rating"], cracked["rating"]))
        self.assertNotEqual(before["because"], after["because"])
        said = " ".join(after["because"])
        self.assertIn("Pressing is blocked by mark 1, crack in the board at 145, 120", said)
        self.assertIn("U1 is taken to stand 50 %", said)
        self.assertIn("mark 1", " ".join(after["cautions"]))
        self.assertEqual(["press-cold", "press-warm", "strip-and-bake"], after["marks"][0]["blocks"][0]["options"])
        # The others stand what they stood.
        for old, new in zip(before["parts"], after["parts"]):
            if old["ref"] != "U1":
                self.assertEqual(old, new)

    def test_a_hold_that_a_mark_forbids_is_logged_with_a_warning(self):
        board = self.sample_crate() + "/003"
        self.run_program("damage", board, "add", "--kind", "crack", "--at", "145,120", "--to", "145,160", "--depth", "through")
        warned = [note for note in self.document("pressed", board, "--way", "weights", "--load-kg", 2, "--hours", 1)["notes"] if "stands against pressing" in note]
        self.assertEqual(1, len(warned))
        self.assertTrue(warned[0].startswith("Warning: mark 1, crack in the board at 145, 120"), warned)
        # On washers nothing is pressed flat; mended it forbids nothing.
        self.assertNotIn("stands against", " ".join(self.document("pressed", board, "--way", "mount", "--hours", 1)["notes"]))
        self.document("damage", board, "resolve", "1", "--note", "filled")
        self.assertNotIn("stands against", " ".join(self.document("pressed", board, "--way", "weights", "--load-kg", 2, "--hours", 1)["notes"]))

    def test_repaired_it_blocks_no_more_but_stays_a_weak_place(self):
        board = self.sample_crate() + "/003"
        self.run_program("damage", board, "add", "--kind", "crack", "--at", "145,120", "--to", "145,160", "--depth", "through")
        self.document("damage", board, "resolve", "1", "--note", "filled")
        after, u1 = self.part(board, "U1")
        self.assertEqual(([], "repaired"), (after["marks"][0]["blocks"], after["marks"][0]["state"]))
        self.assertEqual(0.5, u1["damage_factor"])
        self.assertNotIn("Pressing is blocked", " ".join(after["because"]))

    def test_voided_it_was_never_there(self):
        board = self.sample_crate() + "/003"
        before = self.document("assess", board)
        mark = self.document("damage", board, "add", "--kind", "crack", "--near", "U1")["written"]
        self.run_program("void", board, mark, "--why", "a hair")
        self.assertEqual(before, self.document("assess", board))

    def test_asked_only_for_what_decides(self):
        board = self.new_board()
        self.run_program("damage", board, "add", "--kind", "edge-nick", "--at", "0,100")
        self.assertEqual(2, len(self.document("damage", board, "list")["marks"][0]["missing"]))
        deep = self.document("damage", board, "measure", "1", "--measure", "nick-depth=2.6")["marks"][0]
        self.assertEqual(("defect", []), (deep["outcome"], deep["missing"]))
        shallow = self.document("damage", board, "measure", "1", "--measure", "nick-depth=1.0")["marks"][0]
        self.assertEqual("cannot-tell", shallow["outcome"])
        told = self.document("damage", board, "measure", "1", "--measure", "conductor-distance=3")["marks"][0]
        self.assertEqual("acceptable", told["outcome"])

    def test_report_and_sale_name_the_marks(self):
        board = self.sample_crate() + "/003"
        self.run_program("damage", board, "add", "--kind", "crack", "--at", "145,120", "--to", "145,160")
        self.run_program("damage", board, "add", "--kind", "broken-latch", "--near", "J4")
        self.run_program("report", board, "-o", "r.html")
        page = (self.folder / "r.html").read_text(encoding="utf-8")
        self.assertEqual(2, page.count('class="damage-number" cx') - 1)  # and one in the legend
        self.assertIn("broken latch beside J4", page)
        sale = self.document("report", board, "--sale")["lines"]
        self.assertEqual(5, len(sale))
        self.assertEqual("Damage: crack in the board at 145, 120 (defect), broken latch beside J4.", sale[-1])


if __name__ == "__main__":
    unittest.main()
