"""Long work: progress on stderr alone, the same answer each time, a clean end at Ctrl-C."""
import json
import os
import pty
import re
import signal
import subprocess
import time
from xml.etree import ElementTree

from program import LIEFLAT, ProgramTest, environment, unittest

PROGRESS = re.compile(r"(lieflat: \d+ % done\n)*")


class LongWork(ProgramTest):
    def setUp(self):
        super().setUp()
        self.board = f"{self.sample_crate()}/003"

    def everything(self):
        return {str(p.relative_to(self.folder)): p.read_bytes() for p in sorted(self.folder.rglob("*")) if p.is_file()}

    def start(self, *args, **more):
        return subprocess.Popen([LIEFLAT, *map(str, args)], cwd=self.folder, env=environment(self.folder), text=True,
                                stdout=subprocess.PIPE, **more)

    def test_samples_are_whole_answers_and_the_same_each_time(self):
        first = self.run_program("assess", self.board, "--samples", 20, "--json")
        again = self.run_program("assess", self.board, "--samples", 20, "--json")
        self.assertEqual(first.stdout, again.stdout)
        self.assertRegex(first.stderr, rf"\A{PROGRESS.pattern}\Z")
        sampled = json.loads(first.stdout)
        linear = self.document("assess", self.board)
        self.assertTrue(sampled["pressed_flat"]["nonlinear_samples"])
        self.assertFalse(linear["pressed_flat"]["nonlinear_samples"])
        for a, b in zip(sampled["parts"], linear["parts"]):
            self.assertEqual(a["flatten_strain_ue"], b["flatten_strain_ue"], "the middle is the same answer")
            low, high = a["flatten_strain_interval95_ue"]
            self.assertLess(low, high)
        some = [p["damage_probability"] for p in sampled["parts"]]
        any_part = sampled["pressed_flat"]["any_damage_probability"]
        self.assertLessEqual(max(some) - 1e-4, any_part)
        self.assertLessEqual(any_part, sum(some) + 1e-4 * len(some))

    def test_a_preview_with_samples(self):
        document = self.document("preview", self.board, "--way", "plates", "--gap-mm", 1, "--samples", 20)
        for part in document["parts"]:
            self.assertLess(*part["strain_interval95_ue"])

    def test_a_picture_is_renewed_and_no_other_file_is_touched(self):
        way = ("preview", self.board, "--way", "plates", "--gap-mm", 1, "--linear", "--svg", "x.svg")
        self.run_program(*way)
        first = (self.folder / "x.svg").read_bytes()
        ElementTree.fromstring(first)
        self.run_program(*way)
        self.assertEqual(first, (self.folder / "x.svg").read_bytes())
        self.write("x.svg", "<svg/>")
        refused = self.run_program(*way, status=3)
        self.assertEqual("lieflat: x.svg: is there already and is no picture of lieflat's (give another name, or --force to "
                         "replace it)\n", refused.stderr)
        self.assertEqual("", refused.stdout)
        self.assertEqual("<svg/>", (self.folder / "x.svg").read_text())

    def stop(self, work):
        """Ctrl-C once it has told how far it got."""
        self.assertRegex(work.stderr.readline(), PROGRESS)
        work.send_signal(signal.SIGINT)
        out, err = work.communicate(timeout=30)
        return out, err

    def test_ctrl_c(self):
        before = self.everything()
        for verb in (["assess", self.board], ["preview", self.board, "--way", "plates", "--gap-mm", 1, "--svg", "x.svg"]):
            with self.subTest(verb=verb):
                work = self.start(*verb, "--samples", 100000, stderr=subprocess.PIPE)
                out, err = self.stop(work)
                self.assertEqual(4, work.returncode)
                self.assertEqual("", out)
                self.assertRegex(err, rf"\A{PROGRESS.pattern}lieflat: samples: stopped \(.*\)\n\Z")
                self.assertEqual(before, self.everything())

    def test_on_a_terminal_one_line_renews_itself(self):
        keeper, terminal = pty.openpty()
        work = self.start("assess", self.board, "--samples", 100000, stderr=terminal)
        os.close(terminal)
        seen = b""
        deadline = time.monotonic() + 30
        while seen.count(b"% done") < 2 and time.monotonic() < deadline:
            seen += os.read(keeper, 4096)
        work.send_signal(signal.SIGINT)
        out, _ = work.communicate(timeout=30)
        try:
            while chunk := os.read(keeper, 4096):
                seen += chunk
        except OSError:  # the terminal's other end is closed
            pass
        os.close(keeper)
        self.assertEqual((4, ""), (work.returncode, out))
        self.assertRegex(seen, rb"\A(\rlieflat: \d+ % done)+\r\x1b\[Klieflat: samples: stopped")


if __name__ == "__main__":
    unittest.main()
