"""Command line, page and library say the same, byte for byte; and the page does what it says it does."""
import json
import os
import subprocess
import time

import jsonschema

from serve import ROOT, PageTest, environment, unittest

LIBRARY = os.environ["LIEFLAT_LIBRARY"]
SCHEMAS = {p.name: json.loads(p.read_text(encoding="utf-8")) for p in (ROOT / "docs/schemas").glob("*.schema.json")}
UPRIGHT = "edge,side,at_mm,go_mm,no_go_mm\nAB,solder,,3.4,3.45\nBC,solder,,0.5,0.55\nCD,solder,,2.7,2.75\nDA,solder,,0.5,0.55\n"


class Agreement(PageTest):
    def library(self, *args):
        done = subprocess.run([LIBRARY, *map(str, args)], capture_output=True, text=True, timeout=60, env=environment(self.folder))
        self.assertEqual(0, done.returncode, done.stderr)
        return done.stdout

    def get(self, path, status=200):
        got, _, body = self.page.ask("GET", path)
        self.assertEqual(status, got, body[:500])
        return body.decode()

    def hold(self, document):
        """Against the schema of its format."""
        schema = SCHEMAS[document["format"].removeprefix("lieflat-") + ".schema.json"]
        resolver = jsonschema.RefResolver("", schema, store=SCHEMAS)
        jsonschema.Draft202012Validator(schema, resolver=resolver).validate(document)
        return document

    def run_verb(self, board, verb, words=(), flags=None, text=None, status=200):
        body = {"verb": verb, "words": list(words), "flags": flags or {}}
        if text is not None:
            body["input"] = text
        got, document = self.page.json("POST", f"/api/boards/{board}/run", body)
        self.assertEqual(status, got, document)
        return document

    def test_same_bytes(self):
        for board in ("001", "003", "005", "006", "008", "010"):
            with self.subTest(board=board):
                by_line = self.program("assess", self.crate / board, "--json").stdout
                self.assertEqual(by_line, self.get(f"/api/boards/{board}/assessment"))
                self.assertEqual(by_line, self.get(f"/api/boards/{board}/assessment.json"))
                self.assertEqual(by_line, self.library(self.crate / board))
                self.assertEqual(self.program("report", self.crate / board, "-o", "-").stdout,
                                 self.get(f"/api/boards/{board}/report.html"))
                self.assertEqual(self.program("report", self.crate / board, "--sale").stdout,
                                 self.get(f"/api/boards/{board}/report-sale.txt"))
        by_line = self.program("lot", self.crate, "--json").stdout
        self.assertEqual(by_line, self.get("/api/lot"))
        self.assertEqual(by_line, self.library(self.crate, "--lot"))
        self.assertEqual(self.program("lot", self.crate, "--json", "--kept").stdout, self.get("/api/lot?kept=1"))

    def test_readings_tried_and_then_written(self):
        """What `live` foresees is what `assess` says once the readings are written."""
        self.page.json("POST", "/api/boards", {"name": "021", "flags": {"size": "305x244", "mass": 640, "need": "case"}})
        self.run_verb("021", "part", ["add", "U1"], {"class": "pbga", "at": "120,140", "size": "35x35"})
        before = self.everything()
        body = {"flags": {"rest": "upright", "temperature": 21}, "input": UPRIGHT}
        status, quick = self.page.json("POST", "/api/boards/021/live", {**body, "quick": True})
        self.assertEqual(200, status, quick)
        status, full = self.page.json("POST", "/api/boards/021/live", body)
        self.assertEqual(200, status, full)
        self.assertEqual(before, self.everything(), "nothing is written by trying")
        self.run_verb("021", "gauge", [], body["flags"], body["input"])
        after = json.loads(self.get("/api/boards/021/assessment"))
        self.assertTrue(self.hold(full)["not_written"])
        self.assertTrue(self.hold(quick)["preview"])
        for document in (quick, full):
            self.assertEqual(after["flatness"], document["flatness"])
            self.assertEqual(5, len(document["answers"]))
            self.assertEqual({"AB", "BC", "CD", "DA"}, set(document["drawings"]["edges"]))
            self.hold(document["surface"])
        for key in ("parts", "options", "recommended", "because", "cautions"):
            self.assertEqual(after[key], full[key])
        status, without = self.page.json("POST", "/api/boards/021/live", {"replace": "e1", "quick": True})
        self.assertEqual(200, status, without)
        self.assertEqual("not-measured", without["flatness"]["bow_verdict"])
        self.assertEqual("not-measured", self.page.json("POST", "/api/boards/021/live", {
            "replace": "e1", "quick": True, "flags": {"strips": "DA,BC", "strip-length": 600, "tip-difference": 3}})[1]["flatness"]["bow_verdict"])

    def test_the_whole_job(self):
        """Every verb that the page may run, one after the other."""
        status, made = self.page.json("POST", "/api/boards", {"name": "022", "flags": {"preset": "atx", "mass": 700, "need": "case"}})
        self.assertEqual((200, "022"), (status, made["id"]), made)
        self.assertEqual("crate-3/022", made["entry"]["written"]["label"])
        self.assertEqual(400, self.page.ask("POST", "/api/boards", {"name": "022", "flags": {"preset": "atx"}})[0])
        steps = [
            ("set", [], {"mass": "655", "year": 1998}, None), ("part", ["add", "U1"], {"class": "pbga", "at": "120,140", "size": "35x35"}, None),
            ("part", ["remove", "U1"], {}, None), ("part", ["add", "U1"], {"class": "pbga", "at": "120,140", "size": "35x35"}, None),
            ("gauge", [], {"rest": "upright", "fitted": "cooler,cards", "strips": "DA,BC", "strip-length": 600, "tip-difference": -6}, UPRIGHT),
            ("again", [], {"tip-difference": -5}, UPRIGHT), ("works", [], {"state": "yes", "did": "starts"}, None),
            ("note", ["--not a flag"], {}, None), ("void", ["e4"], {"why": "no need"}, None),
            ("damage", ["add"], {"kind": "scratch", "at": "100,120", "to": ["130,125"], "width": "0.30+-0.05", "depth": "copper"}, None),
            ("damage", ["list"], {}, None), ("damage", ["resolve", "1"], {"as": "accepted"}, None),
            ("preview", [], {"way": "weights", "weight": ["1.0@152,122:60x60", "0.5@60,60:80x80"], "linear": True, "svg": True}, None),
            ("preview", [], {"way": "plates", "gap-mm": 1, "no-weight": True, "linear": True}, "x_mm,y_mm\n10,10\n"),
            ("pressed", [], {"way": "weights", "load-kg": 5, "from": "2026-03-02T20:00:00+01:00", "to": "2026-03-03T08:00:00+01:00", "anyway": True}, None),
            ("trend", [], {}, None), ("verify", [], {}, None),
            ("glance", [], {"bow": ["AB=1", "BC=0.2"], "corner-gap": 1}, None)]
        for verb, words, flags, text in steps:
            with self.subTest(verb=verb, words=words):
                self.hold(self.run_verb("022", verb, words, flags, text))
        self.assertTrue(self.run_verb("022", *steps[12][:3])["svg"].startswith("<svg"))
        board = self.hold(json.loads(self.get("/api/boards/022")))
        self.assertEqual(["U1"], [part["ref"] for part in board["board"]["parts"]])
        self.assertEqual("no need", [e for e in board["entries"] if e["id"] == "e4"][0]["voided"])
        status, glance = self.page.json("POST", "/api/glance", {"flags": {"size": "305x244", "large": "pbga", "bow": ["AB=3.1", "BC=0.5"]}})
        self.assertEqual("lieflat-glance", glance["format"])

    def test_photos(self):
        crate = self.crate
        self.page.json("POST", "/api/boards", {"name": "023", "flags": {"size": "244x170", "need": "case"}})
        names = []
        for number in (1, 2, 3, 4, 5):
            data = (ROOT / f"samples/photos/photo-{number}.jpg").read_bytes()
            status, stored = self.page.json("POST", "/api/boards/023/photos?name=..%2F..%2FIMG%20x.JPG&pose=lying", data,
                                            headers={"Content-Type": "image/jpeg"})
            self.assertEqual(200, status, stored)
            self.assertEqual("lay-a3", self.hold(stored["check"])["sheet"])
            names.append(stored["photo"])
            self.assertEqual(data, (crate / "023" / stored["photo"]).read_bytes())
            _, headers, got = self.page.ask("GET", f"/api/boards/023/{stored['photo']}")
            self.assertEqual((data, "image/jpeg"), (got, headers["Content-Type"]))
        self.assertEqual(5, len(set(names)))
        self.assertTrue(all(name.startswith("photos/") and "/" not in name[7:] for name in names), names)
        measured = self.hold(self.run_verb("023", "photo", names, {"pose": "lying"}))
        self.assertGreaterEqual(len(measured["stations"]), 8)
        self.assertEqual(self.program("assess", crate / "023", "--json").stdout, self.get("/api/boards/023/assessment"))

    def test_jobs(self):
        body = {"verb": "preview", "flags": {"way": "weights", "weight": ["1.0@152,122:60x60"], "samples": 300}, "job": True}
        status, started = self.page.json("POST", "/api/boards/003/run", body)
        self.assertEqual(200, status, started)
        path = f"/api/jobs/{started['job']}"
        seen = set()
        until = time.monotonic() + 30
        while "%" not in "".join(seen) and time.monotonic() < until:
            seen.add(self.page.json("GET", path)[1]["progress"])
            time.sleep(0.05)
        self.assertIn("% done", "".join(seen))
        self.assertEqual(200, self.page.ask("DELETE", path)[0])
        until = time.monotonic() + 10
        while (job := self.page.json("GET", path)[1])["state"] == "running" and time.monotonic() < until:
            time.sleep(0.05)
        self.assertEqual("cancelled", job["state"])
        body["flags"].pop("samples")
        body["flags"]["linear"] = True
        path = f"/api/jobs/{self.page.json('POST', '/api/boards/003/run', body)[1]['job']}"
        until = time.monotonic() + 30
        while (job := self.page.json("GET", path)[1])["state"] == "running" and time.monotonic() < until:
            time.sleep(0.05)
        self.assertEqual("done", job["state"], job)
        self.hold(job["result"])
        self.assertEqual(404, self.page.ask("GET", "/api/jobs/999")[0])

    def test_drawings(self):
        for path in ("edges.svg", "edges.svg?edge=AB", "sheet.svg", "edges.svg?alone=1", "sheet.svg?alone=1"):
            with self.subTest(path=path):
                svg = self.get(f"/api/boards/003/{path}")
                self.assertTrue(svg.startswith("<svg"))
                self.assertEqual("alone" in path, "<style>" in svg)
        self.assertTrue(self.get("/api/boards/010/trend.svg").startswith("<svg"))
        for path in ("/api/boards/008/sheet.svg", "/api/boards/008/trend.svg", "/api/boards/003/edges.svg?edge=XY"):
            self.assertIn("error", json.loads(self.get(path, status=404)))
        self.hold(json.loads(self.get("/api/boards/003/surface")))
        self.assertIn(".drawing", self.get("/drawing.css"))
        self.assertTrue(self.get("/api/boards/003/readings.csv").startswith("entry,station,"))

    def test_two_at_once(self):
        """The command line writes while the page is open; the folder's lock keeps both."""
        for _ in range(5):
            self.program("note", self.crate / "001", "by the command line")
            self.run_verb("001", "note", ["by the page"])
        texts = [e.get("text") for e in json.loads(self.get("/api/boards/001"))["entries"]]
        self.assertEqual((5, 5), (texts.count("by the command line"), texts.count("by the page")))


if __name__ == "__main__":
    unittest.main()
