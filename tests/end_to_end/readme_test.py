"""The sessions shown in README.md, docs/ and samples/README.md: their commands run, and give the output that is printed there.

In a ```console block each line that starts with "$ " is a command, the lines up to the next one are what it prints; a line
"[...]" stands for any lines. A bare ``` block of lieflat commands is only run; a ```text block is not, and its page says why.
"""
import os
import re
import shutil
import subprocess

from program import LIEFLAT, ROOT, ProgramTest, environment, unittest


def blocks(name, kind):
    text = (ROOT / name).read_text(encoding="utf-8")
    return re.findall(rf"^```{kind}\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)


def steps(block):
    """[(command, printed)]"""
    parts = re.split(r"^\$ (.*)\n", block, flags=re.MULTILINE)
    return list(zip(parts[1::2], parts[2::2]))


def pattern(printed):
    return ".*".join(re.escape(part) for part in re.split(r"^\[\.\.\.\]\n", printed, flags=re.MULTILINE))


class Readme(ProgramTest):
    def shell(self, command):
        env = environment(self.folder)
        # The sessions are dated: their page and age do not hang on the day of the test.
        env.update(SOURCE_DATE_EPOCH="1772481600", PATH=os.path.dirname(LIEFLAT) + ":" + env["PATH"])
        done = subprocess.run(["bash", "-c", command], cwd=self.folder, env=env, text=True, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, timeout=60)
        # Work that takes long says how far it is: only on a slow machine, and no part of the answer.
        done.stdout = re.sub(r"lieflat: \d+ % done\n", "", done.stdout)
        return done

    def setUp(self):
        super().setUp()
        shutil.copytree(ROOT / "samples", self.folder / "samples", ignore=shutil.ignore_patterns(".cache", ".lock"))

    def test_the_session_is_real(self):
        session = [step for block in blocks("README.md", "console") for step in steps(block)]
        self.assertGreaterEqual(len(session), 6)
        for command, printed in session:
            with self.subTest(command=command):
                done = self.shell(command)
                if not re.fullmatch(pattern(printed), done.stdout, re.DOTALL):
                    self.assertEqual(printed, done.stdout)
                self.assertEqual(0, done.returncode)
        self.assertEqual((ROOT / "docs/edges.svg").read_text(encoding="utf-8"), (self.folder / "edges.svg").read_text(encoding="utf-8"))

    def test_what_the_documents_show(self):
        pages = sorted((ROOT / "docs").glob("*.md"))
        self.assertGreaterEqual(len(pages), 5)
        for page in pages:
            shutil.rmtree(self.folder / "samples")
            shutil.copytree(ROOT / "samples", self.folder / "samples", ignore=shutil.ignore_patterns(".cache", ".lock"))
            name = page.relative_to(ROOT)
            for command, printed in [step for block in blocks(name, "console") for step in steps(block)]:
                with self.subTest(page=page.name, command=command):
                    done = self.shell(command)
                    if not re.fullmatch(pattern(printed), done.stdout, re.DOTALL):
                        self.assertEqual(printed, done.stdout)
                    self.assertEqual(0, done.returncode)
        for page in [ROOT / "README.md", *pages]:
            text = page.read_text(encoding="utf-8")
            unfenced = re.sub(r"(?ms)^```.*?^```$", "", text)
            self.assertNotRegex(unfenced, r"(?m)^(?: {4}|\t)\S", f"{page.name}: a block without a fence is neither run nor marked")
            self.assertEqual(set(), set(re.findall(r"(?m)^```(\w+)$", text)) - {"console", "text"}, page.name)
        not_run = [page.name for page in [ROOT / "README.md", *pages] for _ in blocks(page.relative_to(ROOT), "text")]
        self.assertLessEqual(len(not_run), 6)

    def test_every_verb_is_shown(self):
        shown = (ROOT / "README.md").read_text(encoding="utf-8")
        for verb in ("glance", "new", "part", "gauge", "works", "damage", "pressed", "trend", "assess", "preview", "again", "lot", "report", "verify", "note", "void"):
            self.assertIn(f"lieflat {verb}", shown)

    def test_what_the_samples_page_says_to_try(self):
        commands = "".join(blocks("samples/README.md", "")).splitlines()
        self.assertGreaterEqual(len(commands), 4)
        for command in commands:
            self.assertEqual(0, self.shell(command).returncode, command)

    def test_what_the_pages_name_is_there(self):
        for page in ("README.md", "DEVELOPERS.md", "samples/README.md"):
            text = (ROOT / page).read_text(encoding="utf-8")
            for path in re.findall(r"`((?:tools|samples|docs|tests|src|calib|include|cmake)/[\w./-]+)`", text):
                self.assertTrue((ROOT / path).exists(), f"{page} names {path}")


if __name__ == "__main__":
    unittest.main()
