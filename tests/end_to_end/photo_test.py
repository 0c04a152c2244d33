"""Photos through the program: the sample set against its truth, against blades on the same board, and what is refused."""
import csv
import shutil

from documents_test import faults
from program import ROOT, ProgramTest, unittest

PHOTOS = sorted((ROOT / "samples/photos").glob("photo-*.jpg"))
HELD = ("--rest", "upright", "--temperature", 21)


class Photos(ProgramTest):
    def board(self, name):
        self.run_program("new", name, "--size", "244x170", "--mass", 250, "--need", "case")
        return name

    def hold(self, document):
        kind = document["format"].removeprefix("lieflat-")
        self.assertEqual([], faults(document, f"{kind}.schema.json"))
        return document

    def test_heights_agree_with_the_truth_and_with_blades(self):
        seen = self.hold(self.document("photo", self.board("by-photo"), "--pose", "lying", *HELD, *PHOTOS))
        self.assertEqual(5, sum(p["used"] for p in seen["photos"]))
        self.assertIn("not yet proved", seen["not_proved"])
        with (ROOT / "samples/photos/truth.csv").open(encoding="utf-8") as file:
            truth = {r["sticker"]: r for r in csv.DictReader(file)}
        # Where a sticker lies is found from the others: within what a hand can place.
        for station in seen["stations"]:
            place = truth[station["name"]]
            self.assertLess(abs(station["x_mm"] - float(place["x_mm"])), 1.5)
            self.assertLess(abs(station["y_mm"] - float(place["y_mm"])), 1.5)
        log = (self.folder / "by-photo/log.jsonl").read_text(encoding="utf-8")
        self.assertEqual(1, log.count('"kind":"photo"'))
        self.assertTrue((self.folder / "by-photo/photos/e1-seen.svg").read_text(encoding="utf-8").startswith("<svg"))
        self.assertTrue(self.document("verify", "by-photo")["sound"])
        self.run_program("gauge", self.board("by-blade"), ROOT / "samples/photos/upright.csv", *HELD)
        edges = [{e["edge"]: e for e in self.hold(self.document("assess", b))["flatness"]["bow_edges"]}
                 for b in ("by-photo", "by-blade")]
        for edge in ("AB", "BC", "CD", "DA"):
            (low1, high1), (low2, high2) = (e[edge]["interval95_percent"] for e in edges)
            self.assertTrue(low1 <= high2 and low2 <= high1, f"{edge}: {low1}..{high1} and {low2}..{high2}")

    def test_one_shot_is_judged_at_once(self):
        good = self.hold(self.document("photo", self.board("b"), "--pose", "lying", "--check-shot", PHOTOS[0]))
        self.assertTrue(good["usable"])
        wrong = self.hold(self.document("photo", "b", "--pose", "standing", "--check-shot", PHOTOS[0], status=4))
        self.assertIn("not a stand sheet", wrong["problem"])
        self.assertFalse((self.folder / "b/log.jsonl").exists(), "a check writes nothing")

    def test_too_few_and_cut_off_photos_are_said(self):
        self.board("b")
        two = self.run_program("photo", "b", "--pose", "lying", *HELD, *PHOTOS[:2], status=4)
        self.assertIn("2 of 2 can be used, 3 needed", two.stderr)
        cut = self.folder / "cut.jpg"
        cut.write_bytes(PHOTOS[0].read_bytes()[:50000])
        self.assertIn("cut off or damaged", self.run_program("photo", "b", "--pose", "lying", *HELD, cut, *PHOTOS[1:], status=3).stderr)
        shutil.copy(PHOTOS[0], self.folder / "renamed.png")
        self.run_program("photo", "b", "--pose", "lying", *HELD, "renamed.png", *PHOTOS[1:4])

    def test_an_edge_on_the_stand_sheet(self):
        photo = ROOT / "samples/photos/standing.jpg"
        line = ("--pose", "standing", "--edge", "AB", "--temperature", 21, photo, "--side")
        good = self.hold(self.document("photo", self.board("b"), "--pose", "standing", "--check-shot", photo))
        self.assertTrue(good["usable"])
        seen = self.hold(self.document("photo", "b", *line, "component"))
        with (ROOT / "samples/photos/standing-truth.csv").open(encoding="utf-8") as file:
            truth = {int(r["at_mm"]): float(r["departure_mm"]) for r in csv.DictReader(file)}
        for point in seen["profile"]:
            off = abs(point["departure_mm"] - truth[round(point["at_mm"])])
            self.assertLess(off, 1.5 * point["u95_mm"], f"at {point['at_mm']}")
        self.assertLess(abs(seen["departure_mm"] - max(truth.values(), key=abs)), seen["u95_mm"])
        # Nothing stands before this edge; and one photo does not tell a twist.
        self.assertEqual([], seen["hidden"])
        self.assertFalse(seen["upper_edge"]["judged"])
        self.assertIn("two photos", seen["upper_edge"]["missing"])
        self.assertTrue((self.folder / "b/photos/e1-seen.svg").read_text(encoding="utf-8").startswith("<svg"))
        self.assertTrue(self.document("verify", "b")["sound"])
        bow = self.hold(self.document("assess", "b"))["flatness"]
        towards = "component" if seen["departure_mm"] > 0 else "solder"
        self.assertEqual(("AB", towards), (bow["bow_edge"], bow["bow_towards"]))
        # The other face to the phone: the same edge from its other end, towards the other side.
        turned = self.hold(self.document("photo", self.board("c"), *line, "solder"))
        self.assertAlmostEqual(-seen["departure_mm"], turned["departure_mm"], places=3)
        self.assertAlmostEqual(244.0, seen["at_mm"] + turned["at_mm"], delta=0.3)
        short = self.run_program("photo", "c", "--pose", "standing", "--edge", "BC", "--side", "solder", photo, status=4)
        self.assertIn("the board's BC is 170", short.stderr)
        lay = self.run_program("photo", "c", "--pose", "standing", "--edge", "AB", "--side", "solder", PHOTOS[0], status=4)
        self.assertIn("not a stand sheet", lay.stderr)

    def test_a_gap_pointed_at(self):
        # 1440 px wide; the edge of 244 mm from x 100 to x 1320 is 0.2 mm a pixel: 11 px are 2.2 mm.
        line = ("--pose", "standing", "--edge", "AB", "--side", "solder", "--temperature", 21,
                "--tap", "100,500", "--tap", "1320,500", "--tap", "710,511", PHOTOS[0])
        seen = self.hold(self.document("photo", self.board("b"), *line))
        self.assertAlmostEqual(2.2, seen["departure_mm"], places=3)
        self.assertGreater(seen["u95_mm"], 0.5)
        bow = self.hold(self.document("assess", "b"))["flatness"]
        self.assertEqual(("AB", "component"), (bow["bow_edge"], bow["bow_towards"]))
        off = self.run_program("photo", "b", *line[:-2], "2000,5", PHOTOS[0], status=3)
        self.assertIn("is off the picture", off.stderr)


if __name__ == "__main__":
    unittest.main()
