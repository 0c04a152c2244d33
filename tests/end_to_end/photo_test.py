"""Photos through the program: the sample set against its truth, against blades on the same board, and what is refused."""
import base64
import csv
import html
import math
import os
import re
import shutil
import subprocess
import xml.dom.minidom

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

    def report(self, board):
        self.run_program("report", board, "-o", "page.html")
        page = (self.folder / "page.html").read_text(encoding="utf-8")
        return page, [base64.b64decode(uri).decode() for uri in re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', page)]

    def test_the_report_shows_what_was_seen(self):
        self.run_program("photo", self.board("b"), "--pose", "lying", *HELD, *PHOTOS)
        self.run_program("photo", "b", "--pose", "standing", "--edge", "AB", "--temperature", 21, "--side", "component",
                         ROOT / "samples/photos/standing.jpg")
        page, drawings = self.report("b")
        kept = [(self.folder / f"b/photos/e{i}-seen.svg") for i in (2, 1)]
        self.assertEqual([file.read_text(encoding="utf-8") for file in kept], drawings)
        lying = xml.dom.minidom.parseString(drawings[1])
        meaning = lying.getElementsByTagName("desc")[0].firstChild.data
        self.assertTrue(meaning in html.unescape(page), "the caption says what the marks mean")
        self.assertIn("0.1 px is drawn as 4 mm", meaning)
        # 14 stickers of four corners; the board's outline has its sides' lengths of 244 and 170 mm, print and camera aside.
        paths = {p.getAttribute("fill") + p.getAttribute("stroke"): p.getAttribute("d") for p in lying.getElementsByTagName("path")}
        self.assertEqual(14, paths["#ddd#555"].count("Z"))
        outline = [tuple(map(float, at.split())) for at in re.split("[MLZ]", paths["none#000"]) if at]
        sides = [math.dist(a, b) for a, b in zip(outline, outline[1:] + outline[:1])]
        for side, length in zip(sides, (244, 170, 244, 170)):
            self.assertAlmostEqual(length, side, delta=0.01 * length)
        standing = xml.dom.minidom.parseString(drawings[0]).getElementsByTagName("desc")[0].firstChild.data
        self.assertRegex(standing, "drawn [0-9]+ times larger")
        # Two drawings are the smaller part of a page that is sent by mail.
        self.assertLess(len(page), 400000)
        kept[0].unlink()
        kept[1].write_text("gone", encoding="utf-8")
        page, drawings = self.report("b")
        self.assertEqual([], drawings)
        for said in ("photos/e2-seen.svg cannot be shown: it is not in the board's folder any more",
                     "photos/e1-seen.svg cannot be shown: it is no drawing"):
            self.assertTrue(said in html.unescape(page), said)
        self.run_program("void", "b", "e2", "--why", "moved")
        self.assertFalse("e2-seen.svg" in self.report("b")[0], "a voided reading is not shown")

    def test_a_large_board_on_tiles(self):
        """Four pages of A4 laid by hand, rendered; the truth of the heights is held by tests/photo."""
        subprocess.run([os.environ["LIEFLAT_RENDER_SET"], self.folder, "5601", "1800", "5", "a4:2x2", "305x244"], check=True)
        photos = sorted(self.folder.glob("photo-*.jpg"))
        self.run_program("new", "b", "--size", "305x244", "--mass", 500)
        good = self.hold(self.document("photo", "b", "--pose", "lying", "--check-shot", photos[0]))
        self.assertEqual([1, 2, 3, 4], good["tiles_seen"])
        seen = self.hold(self.document("photo", "b", "--pose", "lying", *HELD, *photos))
        self.assertEqual("lay-a4-tiles/1", seen["sheet"])
        self.assertEqual([f"lay-a4-tile-{i}" for i in range(1, 5)], sorted(t["tile"] for t in seen["tiles"]))
        with (self.folder / "truth.csv").open(encoding="utf-8") as file:
            truth = {r["sticker"]: float(r["height_mm"]) for r in csv.DictReader(file)}
        heights = {s["name"]: s["height_mm"] for s in seen["stations"]}
        for middle, first, last in (("AB", "A", "B"), ("BC", "B", "C"), ("CD", "C", "D"), ("DA", "D", "A")):
            bow, true_bow = (h[middle] - 0.5 * (h[first] + h[last]) for h in (heights, truth))
            self.assertAlmostEqual(true_bow, bow, delta=0.08, msg=middle)
        self.assertTrue(self.document("verify", "b")["sound"])
        picture = self.run_program("picture", "b", photos[0], status=4)
        self.assertIn("a lay sheet of one page", picture.stderr)

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
