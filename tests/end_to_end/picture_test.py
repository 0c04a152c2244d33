"""The picture to scale through the program: a rendered photo of a damaged board against the truth beside it."""
import json
import math
import re
import shutil

from documents_test import faults
from program import ROOT, ProgramTest, unittest

PHOTO = ROOT / "samples/photos/damaged.jpg"
TRUTH = json.loads((ROOT / "samples/photos/damaged-truth.json").read_text(encoding="utf-8"))


def comma(place):
    return ",".join(f"{v:.2f}" for v in place)


class Pictures(ProgramTest):
    def board(self, name):
        size = "x".join(f"{v:g}" for v in TRUTH["read_on_a_rule_mm"])
        self.run_program("new", name, "--size", size, "--mass", 90, "--need", "case")
        return name

    def pictured(self, name="b"):
        self.run_program("picture", self.board(name), PHOTO)
        return name

    def hold(self, document):
        kind = document["format"].removeprefix("lieflat-")
        self.assertEqual([], faults(document, f"{kind}.schema.json"))
        return document

    def test_a_scratch_and_a_nick_are_measured_within_their_bounds(self):
        kept = self.hold(self.document("picture", self.board("b"), PHOTO))
        self.assertLessEqual(kept["mm_per_px"], 0.1)
        self.assertGreater(kept["scale_u95_percent"], 0.0)
        self.assertEqual(b"\x89PNG", (self.folder / "b" / kept["file"]).read_bytes()[:4])
        self.assertTrue(self.document("verify", "b")["sound"])
        # The bounds: a length within 0.3 mm or 2 %, a width within 0.1 mm or 20 %, a depth within 0.15 mm.
        for truth in TRUTH["scratches"]:
            seen = self.hold(self.document("picture", "b", "--from", comma(truth["from_mm"]), "--to", comma(truth["to_mm"])))
            for key, bound in (("length_mm", max(0.3, 0.02 * truth["length_mm"])), ("width_mm", max(0.1, 0.2 * truth["width_mm"]))):
                off = abs(seen[key]["value"] - truth[key])
                self.assertLess(off, bound, key)
                self.assertLess(off, 1.5 * seen[key]["u95"], key)
        for truth in TRUTH["nicks"]:
            seen = self.hold(self.document("picture", "b", "--edge", truth["edge"]))
            near = [d for d in seen["departures"] if d["inwards"] and d["from_mm"] - 1 < truth["at_mm"] < d["to_mm"] + 1]
            self.assertEqual(1, len(near), truth)
            off = near[0]["depth_mm"]["value"] - truth["depth_mm"]
            self.assertLess(off if near[0]["at_least"] else abs(off), 0.15)

    def test_marks_are_kept_and_shown_on_the_picture(self):
        board = self.pictured()
        scratch = TRUTH["scratches"][0]
        line = ("picture", board, "--from", comma(scratch["from_mm"]), "--to", comma(scratch["to_mm"]), "--mark", "copper")
        made = self.hold(self.document(*line))
        self.assertEqual(1, len(made["marks"]))
        marks = self.hold(self.document("damage", board, "list"))["marks"]
        self.assertEqual(["scratch"], [m["kind"] for m in marks])
        self.run_program("report", board, "-o", "r.html")
        page = (self.folder / "r.html").read_text(encoding="utf-8")
        image = re.search(r'<image class="face" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)" [^>]*href="data:image/jpeg;base64,', page)
        self.assertTrue(image, "the report shows the picture")
        self.assertIn("Marks by their number in the drawings", page)
        # The mark's line begins on the picture where the scratch does: the same scale both ways, y upwards on the board.
        x, y, width, height = map(float, image.groups())
        kept = json.loads((self.folder / "b/picture-component.json").read_text(encoding="utf-8"))
        drawing = page[image.start():page.index("</svg>", image.start())]
        seen = [float(v) for v in re.search(r'<path class="damage" d="M([\d.]+),([\d.]+)L', drawing).groups()]
        scale = width / (kept["width_px"] * kept["mm_per_px"])
        self.assertAlmostEqual(scale, height / (kept["height_px"] * kept["mm_per_px"]), delta=0.002 * scale)
        at = [(seen[0] - x) / scale + kept["low_mm"][0], (y + height - seen[1]) / scale + kept["low_mm"][1]]
        ends = [math.dist(at, scratch[end]) for end in ("from_mm", "to_mm")]
        # Sides read on a rule shift a place by up to their own error; the end is found to the length's 0.3 mm.
        self.assertLess(min(ends), kept["place_u95_mm"] + 0.3)

    def test_what_is_refused(self):
        board = self.pictured()
        # A plain place holds no scratch; a photo of the other sheet, cut off, or of another board is no picture.
        refused = self.run_program("picture", self.board("c"), ROOT / "samples/photos/standing.jpg", status=4)
        self.assertIn("lay the board on the lay sheet", refused.stderr)
        self.run_program("set", "c", "--size", "244x170", "--mass", 300)
        other = self.run_program("picture", "c", PHOTO, status=4)
        self.assertIn("no board of the described size is seen on the sheet", other.stderr)
        cut = self.folder / "cut.jpg"
        cut.write_bytes(PHOTO.read_bytes()[:300000])
        self.assertIn("cut off or damaged", self.run_program("picture", "c", cut, status=3).stderr)
        self.assertFalse((self.folder / "c/picture-component.png").exists(), "a refusal writes nothing")
        # A kept picture that was harmed is named, by the report too.
        png = self.folder / "b/picture-component.png"
        shutil.copy(png, self.folder / "whole.png")
        png.write_bytes(png.read_bytes()[:5000])
        for line in (("picture", board, "--edge", "AB"), ("report", board, "-o", "r.html")):
            self.assertIn("picture-component.png", self.run_program(*line, status=3).stderr)

    def test_against_itself_nothing_stands_out(self):
        board = self.pictured()
        seen = self.hold(self.document("picture", board, "--against", self.pictured("sound")))
        self.assertEqual([], seen["candidates"])


if __name__ == "__main__":
    unittest.main()
