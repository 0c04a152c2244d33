"""The table of bad inputs, bad_inputs.json: each command line with its files is refused with exactly this exit and text."""
import json
import shutil
from pathlib import Path

from program import ProgramTest, unittest

TABLE = json.loads(Path(__file__).with_name("bad_inputs.json").read_text(encoding="utf-8"))


class BadInputs(ProgramTest):
    def test_each_row(self):
        self.assertGreaterEqual(len(TABLE["rows"]), 100)
        whole, self.folder = self.folder, self.folder / "row"  # every row starts from the same folders
        self.folder.mkdir()
        for step in TABLE["setup"]:
            self.run_program(*step)
        self.folder.rename(whole / "setup")
        for number, row in enumerate(TABLE["rows"]):
            with self.subTest(row=number, args=row["args"]):
                shutil.copytree(whole / "setup", self.folder)
                try:
                    self.check(row)
                finally:
                    shutil.rmtree(self.folder)
        self.folder = whole

    def check(self, row):
        for name, text in row.get("files", {}).items():
            self.write(name, text.replace("@board", (self.folder / "b/board.json").read_text(encoding="utf-8")))
        before = self.everything()
        done = self.run_program(*row["args"], status=row["exit"])
        self.assertEqual(("", row["stderr"]), (done.stdout, done.stderr))
        self.assertEqual(before, self.everything(), "a refusal must leave every file as it was")

    def everything(self):
        return {str(p.relative_to(self.folder)): p.read_bytes() for p in sorted(self.folder.rglob("*"))
                if p.is_file() and ".cache" not in p.parts and p.name != ".lock"}


if __name__ == "__main__":
    unittest.main()
