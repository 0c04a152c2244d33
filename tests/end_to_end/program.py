"""Runs the built program in a folder of its own, with fixed time and no settings of the machine's."""
import json
import os
import shutil
import subprocess
import tempfile
import unittest
from pathlib import Path

ROOT = Path(os.environ["LIEFLAT_ROOT"])
LIEFLAT = os.environ["LIEFLAT"]
NOW = "1773345600"  # 2026-03-12 20:00 UTC


def environment(folder):
    kept = {k: os.environ[k] for k in ("PATH", "HOME", "TMPDIR", "ASAN_OPTIONS", "UBSAN_OPTIONS") if k in os.environ}
    return {**kept, "SOURCE_DATE_EPOCH": NOW, "XDG_CONFIG_HOME": str(Path(folder) / "settings")}


class ProgramTest(unittest.TestCase):
    maxDiff = None

    def setUp(self):
        self.folder = Path(tempfile.mkdtemp(prefix="lieflat-end-"))
        self.addCleanup(shutil.rmtree, self.folder, ignore_errors=True)

    def run_program(self, *args, status=0, stdin="", **more):
        """The finished process; its exit status must be the one expected."""
        line = [LIEFLAT, *map(str, args)]
        done = subprocess.run(line, input=stdin, capture_output=True, text=True, cwd=self.folder, timeout=60,
                              env=environment(self.folder), **more)
        self.assertEqual(done.returncode, status, f"{' '.join(line)}\n{done.stdout}{done.stderr}")
        return done

    def document(self, *args, status=0):
        return json.loads(self.run_program(*args, "--json", status=status).stdout)

    def write(self, name, text):
        (self.folder / name).parent.mkdir(parents=True, exist_ok=True)
        (self.folder / name).write_text(text, encoding="utf-8")

    def new_board(self, name="crate/001"):
        self.run_program("new", name, "--size", "305x244", "--mass", 640, "--need", "case")
        return name

    def sample_crate(self):
        shutil.copytree(ROOT / "samples/crate-3", self.folder / "crate-3",
                        ignore=shutil.ignore_patterns(".cache", ".lock"))
        return "crate-3"


UPRIGHT = """edge,side,at_mm,go_mm,no_go_mm
AB,solder,,3.4,3.45
BC,solder,,0.5,0.55
CD,solder,,2.7,2.75
DA,solder,,0.5,0.55
"""
