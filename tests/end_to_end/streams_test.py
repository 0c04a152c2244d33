"""Streams that are closed, full or gone, and a disk that takes no more."""
import os
import resource
import signal
import subprocess

from program import LIEFLAT, UPRIGHT, ProgramTest, environment, unittest


class Streams(ProgramTest):
    def start(self, line, **more):
        return subprocess.run(line, cwd=self.folder, env=environment(self.folder), text=True, timeout=60, **more)

    def test_a_full_stdout_is_an_error(self):
        board = self.new_board()
        with open("/dev/full", "w") as full:
            done = self.start([LIEFLAT, "assess", board], stdout=full, stderr=subprocess.PIPE)
        self.assertEqual(6, done.returncode)
        self.assertIn("stdout: cannot be written: No space left on device", done.stderr)

    def test_a_closed_stdout_is_an_error_and_harms_no_file(self):
        board = self.new_board()
        done = self.start(["bash", "-c", f"exec '{LIEFLAT}' note {board} kept >&-"], stderr=subprocess.PIPE)
        self.assertEqual(6, done.returncode, done.stderr)
        self.assertIn("stdout: cannot be written", done.stderr)
        self.assertIn("what was recorded is kept", done.stderr)
        self.run_program("verify", board)
        self.assertEqual(1, len((self.folder / board / "log.jsonl").read_text().splitlines()))

    def test_all_streams_closed(self):
        board = self.new_board()
        done = self.start(["bash", "-c", f"exec '{LIEFLAT}' set {board} --mass 655 <&- >&- 2>&-"])
        self.assertEqual(6, done.returncode)
        self.run_program("verify", board)
        self.assertIn('"mass_g": 655', (self.folder / board / "board.json").read_text())

    def test_a_reader_that_has_gone_is_no_fault(self):
        board = self.new_board()
        read_end, write_end = os.pipe()
        os.close(read_end)
        done = self.start([LIEFLAT, "assess", board], stdout=write_end, stderr=subprocess.PIPE)
        os.close(write_end)
        self.assertEqual((0, ""), (done.returncode, done.stderr))

    def test_a_file_that_may_not_grow(self):
        """RLIMIT_FSIZE stands for the full disk: a clear error, and the old state whole."""
        board = self.new_board()
        self.write("up.csv", UPRIGHT)
        self.run_program("gauge", board, "up.csv")
        log = self.folder / board / "log.jsonl"
        before = log.read_bytes()

        def limit():
            signal.signal(signal.SIGXFSZ, signal.SIG_DFL)  # Python ignores it, and children would inherit that
            resource.setrlimit(resource.RLIMIT_FSIZE, (len(before) + 20, len(before) + 20))

        for line in (["note", board, "a note that no longer fits"], ["set", board, "--label", "x" * 150]):
            done = self.start([LIEFLAT, *line], capture_output=True, preexec_fn=limit)
            self.assertEqual(6, done.returncode, done.stderr)
            self.assertIn("the file would grow past the largest size allowed", done.stderr)
        self.assertEqual(before, log.read_bytes())
        self.run_program("verify", board)
        self.assertEqual(["board.json", "log.jsonl"],
                         sorted(p.name for p in (self.folder / board).iterdir() if p.name not in (".lock", ".cache", ".former")))

    def test_words_that_are_not_utf8(self):
        done = subprocess.run([LIEFLAT, "note", self.new_board(), b"caf\xe9"], cwd=self.folder, capture_output=True, text=True,
                              env=environment(self.folder), timeout=60)
        self.assertEqual((2, "lieflat: command line, word 3: is not UTF-8 (give names and texts in UTF-8)\n"),
                         (done.returncode, done.stderr))

    def test_a_locale_changes_no_figure(self):
        crate = self.sample_crate()
        plain = self.run_program("assess", f"{crate}/003").stdout
        german = subprocess.run([LIEFLAT, "assess", f"{crate}/003"], cwd=self.folder, capture_output=True, text=True, timeout=60,
                                env={**environment(self.folder), "LC_ALL": "de_DE.UTF-8"})
        self.assertEqual(plain, german.stdout)


if __name__ == "__main__":
    unittest.main()
