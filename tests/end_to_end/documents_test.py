"""Every document that the program writes holds against its schema in docs/schemas."""
import json

import jsonschema

from program import ROOT, UPRIGHT, ProgramTest, unittest

SCHEMAS = {p.name: json.loads(p.read_text(encoding="utf-8")) for p in (ROOT / "docs/schemas").glob("*.schema.json")}


def faults(document, schema):
    resolver = jsonschema.RefResolver("", SCHEMAS[schema], store=SCHEMAS)
    checker = jsonschema.Draft202012Validator(SCHEMAS[schema], resolver=resolver)
    return [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:300]}" for e in checker.iter_errors(document)]


class Documents(ProgramTest):
    def hold(self, document):
        kind = document["format"].removeprefix("lieflat-")
        self.assertEqual([], faults(document, f"{kind}.schema.json"), json.dumps(document)[:2000])
        return document

    def test_schemas_are_schemas(self):
        self.assertGreaterEqual(len(SCHEMAS), 10)
        for name, schema in SCHEMAS.items():
            with self.subTest(schema=name):
                jsonschema.Draft202012Validator.check_schema(schema)

    def test_a_schema_finds_what_is_wrong(self):
        sound = self.hold(self.document("verify", self.sample_crate()))
        self.assertNotEqual([], faults({**sound, "sound": "yes"}, "verify.schema.json"))
        self.assertNotEqual([], faults({**sound, "extra": 1}, "verify.schema.json"))
        del sound["folders"]
        self.assertNotEqual([], faults(sound, "verify.schema.json"))

    def test_what_the_samples_give(self):
        crate = self.sample_crate()
        for board in sorted((self.folder / crate).iterdir()):
            if not board.is_dir():
                continue
            with self.subTest(board=board.name):
                self.hold(self.document("assess", board))
                self.hold(self.document("assess", board, "--worth", "rare"))
                self.hold(self.document("verify", board))
                self.hold(self.document("report", board, "-o", f"{board.name}.html"))
                self.hold(self.document("report", board, "--sale"))
                self.hold(self.document("sheet", board, "-o", f"{board.name}.pdf"))
                self.hold(json.loads((board / "board.json").read_text(encoding="utf-8")))
                for line in (board / "log.jsonl").read_text(encoding="utf-8").splitlines():
                    self.assertEqual([], faults(json.loads(line), "log-entry.schema.json"), line)
        self.hold(self.document("sheet", "--paper", "letter", "--what", "lay,stickers", "-o", "sheets.pdf"))
        self.hold(self.document("lot", crate))
        self.hold(json.loads((self.folder / crate / "bench.json").read_text(encoding="utf-8")))

    def test_a_lot_with_a_broken_folder(self):
        crate = self.sample_crate()
        self.document("set", f"{crate}/004", "--year", "1998")  # keeps the description before it
        self.write(f"{crate}/004/board.json", "{")
        rows = self.hold(self.document("lot", crate))["rows"]
        self.assertEqual(1, sum("problem" in row for row in rows))
        self.assertFalse(self.hold(self.document("verify", crate, status=3))["sound"])
        mended = self.hold(self.document("verify", "--repair", crate))
        self.assertTrue(mended["sound"])
        self.assertTrue(any(folder["mended"] for folder in mended["folders"]))

    def test_what_is_written(self):
        self.write("up.csv", UPRIGHT)
        self.write("points.csv", "x_mm,y_mm,height_mm,u_mm\n5,5,31,0.1\n300,5,31,0.1\n300,239,31,0.1\n5,239,32,0.1\n152,122,30,0.1\n")
        self.write("flat.csv", "station,gap_mm\na,1\na,1.02\na,1.01\nb,0.5\nb,0.52\nb,0.5\n")
        steps = [
            ("new", "b", "--preset", "atx", "--mass", 700, "--limit", 0.5, "--limit-origin", "the cooler's maker"),
            ("set", "b", "--mass", 655, "--year", 1998),
            ("part", "b", "add", "U1", "--class", "pbga", "--at", "120,140", "--size", "35x35", "--pitch", 1.27, "--height", 2),
            ("part", "b", "add", "--group", "slots-4"), ("part", "b", "list"), ("part", "b", "remove", "J1"),
            ("gauge", "b", "up.csv", "--temperature", 21, "--fitted", "cooler,cards"), ("again", "b", "up.csv"),
            ("gauge", "b", "--strips", "DA,BC", "--strip-length", 600, "--tip-difference", -6),
            ("again", "b", "--tip-difference", -5),
            ("gauge", "b", "--rest", "table", "--fourth-corner", "C=2.20..2.25", "--lead-tail-mm", 2),
            ("gauge", "b", "--rest", "table", "--fourth-corner", "C=2.2", "--gap-u", 0.2, "--lead-tail-mm", 2),
            ("gauge", "b", "--rest", "table", "--lead-tail-mm", 2, "--referee", "AC", "--highest", 3.1, "--lowest", 1.2),
            ("gauge", "b", "points.csv", "--rest", "points", "--at", "61:49,244:49,152:195", "--rest-height", 30),
            ("gauge", "b", "--flat-trial", "flat.csv"),
            ("works", "b", "--state", "yes", "--did", "starts"), ("note", "b", "kept dry"), ("void", "b", "e2", "--why", "wrong board"),
            ("damage", "b", "add", "--kind", "scratch", "--at", "100,120", "--to", "130,125", "--width", "0.30+-0.05", "--depth", "copper",
             "--side", "component", "--near", "U1", "--photo", "scratch.jpg", "--note", "a screwdriver"),
            ("damage", "b", "add", "--kind", "crack", "--outline", "150,120 160,120 160,125", "--aspect", "frayed"),
            ("damage", "b", "measure", "1", "--measure", "width-left=0.2", "--aspect", "cracked"),
            ("damage", "b", "resolve", "2", "--as", "accepted", "--note", "as it is"), ("damage", "b", "list"),
            ("pressed", "b", "--way", "weights", "--load-kg", 5, "--from", "2026-03-02T20:00:00+01:00", "--to", "2026-03-03T08:00:00+01:00",
             "--temperature", 21, "--about", "--note", "books"), ("trend", "b"),
            ("pressed", "b", "--way", "plates", "--from", "2026-03-12T18:00:00+00:00"),
            ("pressed", "b", "--end", "--to", "2026-03-12T19:00:00+00:00"), ("trend", "b"),
            ("glance", "b", "--bow", "AB=1", "--bow", "BC=0.2", "--corner-gap", 1),
            ("glance", "--size", "305x244", "--large", "pbga", "--bow", "AB=3", "--tip-difference", 14, "--strip-length", 600),
            ("glance", "--preset", "atx"), ("glance", "c", "--preset", "atx", "--need", "sale"),
            ("assess", "b"), ("assess", "c"), ("assess", "b", "--quick"), ("assess", "b", "--drawn"), ("assess", "c", "--drawn"),
            ("assess", "b", "--with", "up.csv", "--quick", "--drawn"), ("assess", "b", "--replace", "e1", "--quick"),
            ("assess", "c", "--strips", "DA,BC", "--strip-length", 600, "--tip-difference", 3), ("export", "b", "board"),
            ("export", "b", "surface"), ("export", "b", "edges", "-o", "edges.svg"), ("lot", ".", "--kept"), ("lot", "."), ("lot", ".", "--kept"), ("verify", "."), ("--version",)]
        for step in steps:
            with self.subTest(step=step):
                self.hold(self.document(*step))
        for line in (self.folder / "b/log.jsonl").read_text(encoding="utf-8").splitlines():
            self.assertEqual([], faults(json.loads(line), "log-entry.schema.json"), line)

    def test_a_picture_and_what_is_measured_on_it(self):
        self.run_program("new", "p", "--size", "150.5x100.5")
        self.hold(self.document("picture", "p", ROOT / "samples/photos/damaged.jpg"))
        for more in (("--edge", "CD", "--mark", "unknown"), ("--from", "66.1,54.0", "--to", "83.8,48.3"),
                     ("--from", "45,25", "--to", "73,25", "--pins"), ("--against", "p")):
            with self.subTest(more=more):
                self.hold(self.document("picture", "p", *more))

    def test_ways_of_holding(self):
        board = f"{self.sample_crate()}/003"
        self.write("points.csv", "x_mm,y_mm\n10,10\n152,122\n")
        for way in (("plates", "--gap-mm", 1), ("plates", "--load-n", 20, "--no-weight", "--linear"),
                    ("weights", "--weight", "1.0@152,122:60x60", "--weight", "0.5@60,60:80x80:rigid", "--down", "component"),
                    ("clamps", "--bar", "AB", "--bar", "CD", "--load-n", 10, "--linear"),
                    ("plates", "--gap-mm", 2, "--linear", "--drawn"),
                    ("mount", "--shim", "5=1.5", "--points", "points.csv")):
            with self.subTest(way=way):
                document = self.hold(self.document("preview", board, "--way", *way))
                self.assertGreaterEqual(len(document["steps"]), 4)
                self.assertAlmostEqual(0.0, sum(force["up_n"] for force in document["reactions"]), delta=1e-3)
        for more in (("weights", "--weight", "1.0@152,122:60x60"), ("mount",)):
            self.assertIn("optimised", self.hold(self.document("preview", board, "--way", *more, "--optimise", "--linear")))
        self.assertEqual(2, len(document["points"]))
        self.assertEqual(9, len(document["unforced_gaps"]))

    def test_a_refusal_is_a_document_too(self):
        done = self.run_program("assess", "nowhere", "--json", status=3)
        self.assertEqual("", done.stdout)
        self.assertEqual(3, self.hold(json.loads(done.stderr))["exit"])


if __name__ == "__main__":
    unittest.main()
