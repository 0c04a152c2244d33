"""Questions at a terminal: a pseudo-terminal types the answers. Without one, or with --no-input, nothing is asked."""
import json
import os
import pty
import select
import subprocess
import time

from program import LIEFLAT, UPRIGHT, ProgramTest, environment, unittest


class Prompts(ProgramTest):
    def converse(self, args, answers, status=0):
        """Waits for each question (a line that ends in '? ' or '] ') before it answers. Returns what the screen showed."""
        terminal, other = pty.openpty()
        program = subprocess.Popen([LIEFLAT, *args], stdin=other, stdout=other, stderr=other, cwd=self.folder,
                                   env=environment(self.folder))
        os.close(other)
        screen, seen, left = "", 0, list(answers)
        deadline = time.monotonic() + 30
        while time.monotonic() < deadline:
            if not select.select([terminal], [], [], 0.2)[0]:
                if program.poll() is not None:
                    break
                continue
            try:
                block = os.read(terminal, 4096)
            except OSError:  # the program has closed its side
                break
            screen += block.decode()
            if left and screen.endswith(("? ", "] ")) and len(screen) > seen:
                os.write(terminal, (left.pop(0) + "\n").encode())
                seen = len(screen)
        os.close(terminal)
        self.assertEqual(status, program.wait(timeout=30), screen)
        self.assertEqual([], left, "not every answer was asked for:\n" + screen)
        return screen.replace("\r\n", "\n")  # converse() fails when fewer or more questions come than answers

    def log(self, board):
        return [json.loads(line) for line in (self.folder / board / "log.jsonl").read_text().splitlines()]

    def test_glance_asks_at_most_eight(self):
        answers = ["305x244", "mixed", "pbga", "yes", "none", "3.1", "0.4", "2.0"]
        screen = self.converse(["glance"], answers)
        self.assertIn("Leave it", screen)
        flags = self.run_program("glance", "--size", "305x244", "--mounting", "mixed", "--large", "pbga", "--works", "yes",
                                 "--need", "none", "--bow", "AB=3.1", "--bow", "BC=0.4", "--corner-gap", 2)
        self.assertTrue(screen.endswith(flags.stdout), "the same answers by flags give the same text")

    def test_a_bad_answer_is_explained_and_asked_again(self):
        screen = self.converse(["glance"], ["305", "atx", "", "bga", "", "maybe", "yes", "", "", "", ""])
        self.assertIn("is not two lengths", screen)
        self.assertIn("did you mean pbga?", screen)
        self.assertIn('"maybe" is not known', screen)

    def test_gauge_typed_is_as_from_a_sheet(self):
        board = self.new_board()
        self.write("up.csv", UPRIGHT)
        self.run_program("gauge", board, "up.csv", "--rest", "upright", "--temperature", 21)
        # how held; for each edge the face and two blades; no strips; the temperature
        self.converse(["gauge", board], ["", "", "3.40 3.45", "", "0,5 0,55", "solder", "2.7 2.75", "", "0.5 0.55", "", "21"])
        sheet, typed = [entry["reading"] for entry in self.log(board)]
        self.assertEqual(sheet, typed)

    def test_again_hides_the_old_values(self):
        board = self.new_board()
        self.write("up.csv", UPRIGHT)
        self.run_program("gauge", board, "up.csv", "--temperature", 21)
        screen = self.converse(["again", board], ["3.4 3.45", "0.5 0.55", "2.65 2.7", "0.5 0.55"])
        asked, shown = screen.split("e2: ")
        for value in ("3.42", "2.72", "0.52"):
            self.assertNotIn(value, asked)
        self.assertIn("no detectable change", shown)
        self.assertEqual("e1", self.log(board)[1]["again_of"])

    def test_input_that_ends_records_nothing(self):
        board = self.new_board()
        self.assertIn("nothing was recorded", self.converse(["gauge", board], ["", "\x04"], status=2))
        self.assertFalse((self.folder / board / "log.jsonl").exists() and self.log(board))

    def test_nothing_is_asked_without_a_terminal(self):
        board = self.new_board()
        for line in (["glance"], ["gauge", board]):
            self.assertIn("--", self.run_program(*line, status=2).stderr)
            self.assertNotIn("?", self.converse([*line, "--no-input"], [], status=2))


if __name__ == "__main__":
    unittest.main()
