"""The exit statuses that scripts rely on (src/app/cli/exit_status.h), and what goes to which stream."""
import fcntl
import json
import re

from program import ROOT, UPRIGHT, ProgramTest, unittest

FLAT = "edge,side,at_mm,go_mm,no_go_mm\nAB,solder,,0.5,0.55\nBC,solder,,0.1,0.15\nCD,solder,,0.5,0.55\nDA,solder,,0.1,0.15\n"


class ExitStatus(ProgramTest):
    def test_help_names_every_status(self):
        for line in (["--help"], ["assess", "--help"]):
            text = self.run_program(*line).stdout
            for status in range(7):
                self.assertRegex(text, rf"\b{status} ", line)
            self.assertEqual([], [l for l in text.splitlines() if len(l) > 80])

    def test_each_verb_has_help(self):
        verbs = re.findall(r"^  ([a-z]+) {2,}", self.run_program("--help").stdout.split("Subcommands:")[1], re.MULTILINE)
        self.assertGreaterEqual(len(verbs), 14)
        for verb in verbs:
            self.assertIn("lieflat " + verb, self.run_program(verb, "--help").stdout)

    def test_done_and_gate(self):
        board = self.new_board()
        self.assertEqual("", self.run_program("assess", board).stderr)
        self.run_program("assess", board, "--gate", status=4)  # nothing was read
        self.write("flat.csv", FLAT)
        self.run_program("gauge", board, "flat.csv", "--temperature", 21)
        self.run_program("assess", board, "--gate", status=4)  # bow alone: twist is not measured yet
        self.run_program("gauge", board, "--strips", "DA,BC", "--strip-length", 600, "--tip-difference", 1)
        for line in (["assess", board, "--gate"], ["assess", board, "--gate", "--json"]):
            self.assertEqual("", self.run_program(*line).stderr)

    def test_gate_over_and_undecided(self):
        board = self.new_board()
        self.write("up.csv", UPRIGHT)
        self.run_program("gauge", board, "up.csv", "--temperature", 21)
        done = self.run_program("assess", board, "--gate", status=1)
        self.assertEqual("lieflat: gate: bow over, twist not-measured\n", done.stderr)
        self.assertTrue(done.stdout)
        self.run_program("assess", board, "--gate", "--json", status=1)
        # 2.287 mm over 305 mm is 0.75 %, the limit itself: read by eye it cannot be told from it.
        close = self.new_board("crate/002")
        self.write("close.csv", "edge,side,at_mm,gap_mm,u_mm\nAB,solder,,2.29,0.3\nBC,solder,,0.1,0.3\nCD,solder,,0.3,0.3\nDA,solder,,0.1,0.3\n")
        self.run_program("gauge", close, "close.csv", "--instrument", "steel-rule")
        self.assertIn("bow undecided", self.run_program("assess", close, "--gate", status=1).stderr)

    def test_no_figure(self):
        self.assertIn("nothing of the kind was read", self.run_program("again", self.new_board(), status=4).stderr)

    def test_busy(self):
        board = self.new_board()
        with open(self.folder / board / ".lock", "w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            done = self.run_program("note", board, "waits", "--json", status=5)
        self.assertEqual(5, json.loads(done.stderr)["exit"])
        self.run_program("note", board, "goes on")

    def test_results_and_the_rest(self):
        board = self.new_board()
        self.write("up.csv", UPRIGHT)
        done = self.run_program("gauge", board, "up.csv")
        self.assertEqual("e1: 4 readings; upright\n", done.stdout)
        self.assertIn("no temperature was given", done.stderr)

    def test_version(self):
        self.assertRegex(self.run_program("--version").stdout, r"^lieflat \d+\.\d+\.\d+\n$")
        self.assertRegex(self.document("--version")["program"], r"^\d+\.\d+\.\d+$")

    def test_replaced_figures_are_told(self):
        board = self.new_board()
        self.write("calib/choice.json", (ROOT / "calib/choice.json").read_text(encoding="utf-8"))
        self.assertIn("calib", self.run_program("--calib", "calib", "assess", board).stderr)

    def test_replaced_figures_that_lack_something(self):
        """Its numbers are checked when it is read; a list that a preset lacks, when that is asked for."""
        presets = json.loads((ROOT / "calib/presets.json").read_text(encoding="utf-8"))
        del presets["presets"]["atx"]["holes"]
        self.write("calib/presets.json", json.dumps(presets))
        refused = self.run_program("--calib", "calib", "new", "c", "--preset", "atx", status=3).stderr
        self.assertIn("calib: lacks something that the program's own files have", refused)

    def test_sheet_from_stdin_is_the_same_as_from_a_file(self):
        board = self.new_board()
        self.write("up.csv", UPRIGHT)
        self.run_program("gauge", board, "up.csv")
        self.run_program("gauge", board, "-", stdin=UPRIGHT)
        first, second = [json.loads(line)["reading"] for line in (self.folder / board / "log.jsonl").read_text().splitlines()]
        self.assertEqual(first, second)

    def test_report_is_renewed_but_nothing_else_replaced(self):
        board = self.new_board()
        self.run_program("report", board, "-o", "r.html")
        self.run_program("report", board, "-o", "r.html")
        self.write("mine.html", "<html>my own</html>")
        self.run_program("report", board, "-o", "mine.html", status=3)
        self.run_program("report", board, "-o", "mine.html", "--force")
        self.assertEqual(5, len(self.run_program("report", board, "--sale").stdout.splitlines()))
        self.assertEqual((self.folder / "r.html").read_text(), self.run_program("report", board, "-o", "-").stdout)


if __name__ == "__main__":
    unittest.main()
