"""Every call of every verb that touches a board's files goes wrong once, in every way that POSIX allows it to.

failing_calls.cpp counts the calls below the test's folder and fails the n-th. For each n of each verb's run, and each way:
- the exit is 0, or one of the documented ones, and then stderr names a file and what to do;
- exit 0 means the very output and files of a run in which nothing went wrong;
- what was acknowledged before is there still; `verify` reads the folder, `verify --repair` mends what it reports;
- the same command again does what it did not do.
LIEFLAT_FULL=1 takes every call in every way; the short form every call once, in one of the ways.
"""
import concurrent.futures
import hashlib
import json
import os
import re
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

from program import LIEFLAT, ROOT, UPRIGHT, environment, unittest

FULL = os.environ.get("LIEFLAT_FULL") == "1"
LIBRARY = os.environ["LIEFLAT_FAILING_CALLS"]
B = "crate/b"
FLAT = "station,gap_mm\na,1\na,1.02\na,1.01\nb,0.5\nb,0.52\nb,0.5\n"
TAPS = ("--pose", "standing", "--edge", "AB", "--side", "solder", "--temperature", 21, "--tap", "100,500", "--tap", "1320,500",
        "--tap", "710,511", ROOT / "samples/photos/photo-1.jpg")
SCRATCH = ("--kind", "scratch", "--at", "100,120", "--to", "130,125", "--width", "0.3", "--depth", "copper", "--side", "component")
# Two runs of a verb where it writes in two ways. Each: its name, the command, and what is done to the folder before.
CASES = {
    "new": [("new", "crate/n", "--size", "305x244")], "set": [("set", B, "--mass", 655)],
    "part": [("part", B, "add", "U9", "--class", "qfp", "--at", "60,60", "--size", "20x20")],
    "gauge": [("gauge", B, "up.csv"), ("gauge", B, "--flat-trial", "flat.csv")], "again": [("again", B, "up.csv")],
    "works": [("works", B, "--state", "yes", "--did", "starts")], "note": [("note", B, "kept dry")],
    "void": [("void", B, "e1", "--why", "wrong board")],
    "damage": [("damage", B, "add", *SCRATCH), ("damage", B, "measure", "1", "--width", "0.4"), ("damage", B, "resolve", "1")],
    "pressed": [("pressed", B, "--way", "weights", "--load-kg", 5, "--from", "2026-03-12T18:00:00+00:00", "--anyway"),
                ("pressed", B, "--way", "weights", "--load-kg", 5, "--from", "2026-03-12T06:00:00+00:00", "--hours", 8)],
    "glance": [("glance", "crate/g", "--size", "305x244", "--bow", "AB=1", "--bow", "BC=0.2", "--corner-gap", 1),
               ("glance", B, "--bow", "AB=1", "--bow", "BC=0.2", "--corner-gap", 1)],
    "assess": [("assess", B), ("assess", B, "--json")], "lot": [("lot", "crate")],
    "preview": [("preview", B, "--way", "plates", "--gap-mm", 2, "--linear", "--svg", "out.svg")],
    "bench": [("bench", "crate", "--skills", "rework")], "report": [("report", B, "-o", "out.html"), ("report", B, "--sale")],
    "sheet": [("sheet", B, "-o", "out.pdf"), ("sheet", "--what", "pocket-card", "-o", "out.pdf")],
    "export": [("export", B, "edges", "-o", "out.svg"), ("export", B, "board", "-o", "out.json")],
    "photo": [("photo", B, *TAPS),
              ("photo", "crate/p", "--pose", "standing", "--edge", "AB", "--side", "solder", ROOT / "samples/photos/standing.jpg")],
    "picture": [("picture", "crate/p", "photo-1.jpg")],
    "verify": [("verify", B, "--repair"), ("verify", "crate")], "trend": [("trend", B)],
}
EXEMPT = {"manual": "touches no board", "completion": "touches no board",
          "open": "writes only photos, of which tests/page/loss_test.py holds that none that was acknowledged is lost"}
SLOW = {"photo", "picture", "report", "lot", "assess", "preview"}  # seldom in the short form where they only look
REFUSALS = {3, 5, 6}  # an input cannot be read; the folder is busy; the disk's fault


class Run:
    """A folder of its own, put back before each command."""

    def __init__(self, start):
        self.top = Path(tempfile.mkdtemp(prefix="lieflat-faults-"))
        self.root, self.trace, self.start = self.top / "root", self.top / "trace", start

    def close(self):
        shutil.rmtree(self.top, ignore_errors=True)

    def restore(self):
        shutil.rmtree(self.root, ignore_errors=True)
        for path, content in self.start.items():
            file = self.root / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(content)

    def tree(self):
        return {str(p.relative_to(self.root)): p.read_bytes() for p in sorted(self.root.rglob("*")) if p.is_file()}

    def run(self, args, at=None, kind="eio"):
        more = {}
        if at is not None:
            self.trace.unlink(missing_ok=True)
            options = os.environ.get("ASAN_OPTIONS", "")
            more = {"LD_PRELOAD": LIBRARY, "LIEFLAT_FAULT_ROOT": str(self.root), "LIEFLAT_FAULT_AT": str(at),
                    "LIEFLAT_FAULT_KIND": kind, "LIEFLAT_FAULT_TRACE": str(self.trace),
                    "ASAN_OPTIONS": f"{options}:verify_asan_link_order=0"}
        return subprocess.run([LIEFLAT, *map(str, args)], capture_output=True, text=True, cwd=self.root, timeout=120,
                              stdin=subprocess.DEVNULL, env={**environment(self.root), **more})

    def calls(self):
        """(name, "looks" or "changes", path) of each call that was counted."""
        lines = self.trace.read_text(encoding="utf-8").splitlines() if self.trace.exists() else []
        return [tuple(line.split(" ", 3)[1:]) for line in lines]


def lasting(tree):
    """What counts: not the lock, what can be worked out again, copies, leftovers that a later run removes."""
    tree = {re.sub(r"damaged-\d", "damaged-1", p): c for p, c in tree.items()}  # whichever name was free
    return {p: c for p, c in tree.items()
            # An empty log is none; a drawing whose entry was not written is written over by the next one.
            if not (p.endswith("log.jsonl") and not c) and not p.endswith((".lock", ".lieflat-new")) and "/.cache/" not in p and "/.former/" not in p and not p.startswith("settings/")}


def ways(call, number, slow):
    """In how many ways this call goes wrong; in the short form one, another one at the next call."""
    name, does, _ = call
    every = ["eio", "kill", "enospc", "dead"] if does == "changes" else ["eio"]
    if name in ("write", "pwrite", "writev"):
        every += ["torn", "short"]
    if name in ("open", "openat", "read", "write", "pwrite", "fsync", "ftruncate", "flock"):
        every.append("eintr")
    if FULL:
        return every
    if slow and does == "looks" and number > 4 and number % 6:
        return []
    return ["eio"] if does == "looks" and number % 5 else [every[number % len(every)]]


class Case:
    def __init__(self, verb, args, start):
        self.verb, self.args, self.run = verb, args, Run(start)
        self.faults, self.settled, self.count = [], {}, 0

    def fault(self, what, about):
        self.faults.append(f"{' '.join(map(str, self.args))[:90]}: {about}: {what}")
        print(self.faults[-1], flush=True)

    def whole(self):
        run = self.run
        run.restore()
        started = time.monotonic()
        self.clean = run.run(self.args, at=0)
        self.clean_tree = lasting(run.tree())
        self.before = lasting(run.start)
        calls = run.calls()
        if self.clean.returncode != 0:
            self.fault(self.clean.stderr, "without a fault")
            return self
        if not calls:
            self.fault("touches no file", "without a fault")
        for number, call in enumerate(calls, 1):
            for kind in ways(call, number, self.verb in SLOW):
                self.one(number, kind, call)
        run.close()
        print(f"{' '.join(map(str, self.args))[:60]}: {len(calls)} calls, {self.count} faults, {time.monotonic() - started:.1f} s", flush=True)
        return self

    def one(self, number, kind, call):
        self.count += 1
        run = self.run
        run.restore()
        done = run.run(self.args, at=number, kind=kind)
        tree = run.tree()
        about = f"{kind} at call {number}, {' '.join(call)}"
        self.look(done, kind, lasting(tree), about)
        # What follows depends on the files alone; the process's number stands in names of leftovers and in the lock.
        files = sorted((re.sub(r"\.\d+-\d+\.", ".", path), content) for path, content in tree.items() if not path.endswith(".lock"))
        key = hashlib.sha256(repr(files).encode()).hexdigest()
        if key not in self.settled:
            self.settled[key] = about
            self.go_on(done, lasting(tree), about)

    def look(self, done, kind, after, about):
        said = done.stderr.strip()
        if kind == "kill":
            if done.returncode != -9:
                self.fault(f"was to be killed, exit {done.returncode}", about)
        elif done.returncode == 0:
            # A board that cannot be read is a row of the lot, and says so.
            if done.stdout != self.clean.stdout and not (self.verb == "lot" and "cannot be read: " in done.stdout) \
                    and not (self.verb == "verify" and "mended: " in done.stdout):
                self.fault(f"exit 0 with another answer:\n{done.stdout[:600]}\nin place of:\n{self.clean.stdout[:600]}", about)
            # A repair says which copy it had to pass over.
            if after != self.clean_tree and "passed over" not in done.stdout:
                changed = [p for p in {*after, *self.clean_tree} if after.get(p) != self.clean_tree.get(p)]
                self.fault(f"exit 0 with other files: {changed}", about)
        elif done.returncode not in REFUSALS or kind in ("short", "eintr"):
            self.fault(f"exit {done.returncode}: {said}", about)
        elif not self.clear(said) and not (self.verb == "verify" and "fault: crate" in done.stdout):
            self.fault(f"the message names no file or no remedy: {said!r}", about)
        elif after != self.before and not any(w in said for w in ("holds the new content", "may still be in", "may be left",
                                                                  "left behind", "could not be removed", "was kept", "already", "which a power cut may undo")):
            changed = [p for p in {*after, *self.before} if after.get(p) != self.before.get(p)]
            # A board that was begun, bytes that were set aside twice, a repair that goes on when it is run again.
            started = all(p.startswith(("crate/n/", "crate/g/")) or p.endswith(("log.torn", "-seen.svg"))
                          for p in changed)
            cut = self.whole_lines(after) == self.whole_lines(self.before)
            if not started and not cut and self.verb != "verify":
                self.fault(f"refused, yet wrote {changed}: {said}", about)
        self.kept(after, about)

    @staticmethod
    def whole_lines(tree):
        """The files but for what was torn."""
        rest = {p: c for p, c in tree.items() if not p.endswith("log.torn")}
        return {**rest, "crate/b/log.jsonl": b"\n".join(rest.get("crate/b/log.jsonl", b"").split(b"\n")[:-1])}

    @staticmethod
    def clear(said):
        """It names a file of this folder and what to do."""
        if said.startswith("{"):
            error = json.loads(said)
            where, remedy = error["where"], error["remedy"]
        else:
            last = said.splitlines()[-1] if said else ""
            where, remedy = last.removeprefix("lieflat: "), last.partition(" (")[2] if last.startswith("lieflat: ") else ""
        return bool(remedy) and any(name in where for name in ("crate", "out.", "photo-1.jpg", "flat.csv", "up.csv"))

    def kept(self, after, about):
        """Every acknowledged entry and description is there."""
        log = after.get("crate/b/log.jsonl", b"").splitlines()
        for line in self.before["crate/b/log.jsonl"].splitlines():
            if line.startswith(b"{") and line.endswith(b"}") and line not in log:
                self.fault(f"lost {line[:80]!r}", about)
        for file in ("crate/b/board.json", "crate/p/board.json"):
            if after.get(file) not in (self.before.get(file), self.clean_tree.get(file)) and self.verb != "verify":
                self.fault(f"{file} is neither the old nor the new one", about)

    def go_on(self, done, after, about):
        """verify reads the folder, --repair mends it, and the command again does its work."""
        run = self.run
        stopped = run.tree()
        seen = run.run(("verify", "crate", "--json"))
        if seen.returncode not in (0, 3):
            self.fault(f"verify: exit {seen.returncode} {seen.stderr}", about)
            return
        found = json.loads(seen.stdout)
        if not found["sound"] or any(folder["warnings"] for folder in found["folders"]):
            mended = run.run(("verify", "crate", "--repair"))
            again = json.loads(run.run(("verify", "crate", "--json")).stdout)
            if mended.returncode != 0 or not again["sound"] or any(folder["warnings"] for folder in again["folders"]):
                self.fault(f"not mended: {mended.stdout}{mended.stderr}{again}", about)
            self.kept(lasting(run.tree()), about + ", repaired")
            shutil.rmtree(run.root)
            held, run.start = run.start, stopped
            run.restore()
            run.start = held
        repeated = run.run(self.args)
        final = lasting(run.tree())
        self.kept(final, about + ", repeated")
        # Where the change had been made, a second time may be one too many: a board that is there, an entry twice.
        made = after != self.before
        if repeated.returncode != 0 and not (made and repeated.returncode == 3 and any(w in repeated.stderr for w in ("already", "is open still"))):
            self.fault(f"again: exit {repeated.returncode} {repeated.stderr}", about)
        elif repeated.returncode == 0 and not made and final != self.clean_tree:
            changed = [p for p in {*final, *self.clean_tree} if final.get(p) != self.clean_tree.get(p)]
            self.fault(f"again: other files {changed}", about)
        if json.loads(run.run(("verify", "crate", "--json")).stdout)["sound"] is not True:
            self.fault("unsound after the command was repeated", about)


def first_state():
    """A crate with a board that was read, scratched and pressed, and a bare one."""
    run = Run({"up.csv": UPRIGHT.encode(), "flat.csv": FLAT.encode()})
    run.restore()
    steps = (("new", B, "--size", "305x244", "--mass", 640, "--need", "case"), ("set", B, "--year", 1998),
             ("part", B, "add", "U1", "--class", "pbga", "--at", "120,140", "--size", "35x35"),
             ("gauge", B, "up.csv", "--when", "2026-03-11T12:00:00+00:00"), ("damage", B, "add", *SCRATCH),
             ("bench", "crate", "--tools", "warm-box"), ("new", "crate/p", "--size", "244x170", "--mass", 250))
    for step in steps:
        done = run.run(step)
        assert done.returncode == 0, done.stderr
    start = run.tree()
    run.close()
    return start


def with_photo(start):
    """A photo from above that shows the board of crate/p at four pixels a millimetre."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([os.environ["LIEFLAT_RENDER_SET"], folder, "77", "2100", "1", "a3", "244x170"], check=True)
        return {**start, "photo-1.jpg": (Path(folder) / "photo-1.jpg").read_bytes()}


def torn(start):
    """A description that broke, and a log that ends in half a line."""
    return {**start, "crate/b/board.json": b"{", "crate/b/log.jsonl": start["crate/b/log.jsonl"] + b'{"id":"e9","ki'}


class Faults(unittest.TestCase):
    maxDiff = None

    def test_every_verb_of_the_program_is_here(self):
        words = subprocess.run([LIEFLAT, "nonsense"], capture_output=True, text=True, check=False).stderr
        verbs = words.strip().rsplit("(one of ", 1)[1].rstrip(")").split(", ")
        self.assertGreater(len(verbs), 20)
        self.assertEqual(sorted(verbs), sorted([*CASES, *EXEMPT]))

    def test_every_call_goes_wrong_once(self):
        start = first_state()
        states = {"--repair": torn(start), "photo-1.jpg": with_photo(start)}
        cases = [Case(verb, args, states.get(args[-1], start)) for verb, lines in CASES.items() for args in lines]
        log_torn = {**start, "crate/b/log.jsonl": start["crate/b/log.jsonl"] + b'{"id":"e9","ki'}
        cases.append(Case("note", ("note", B, "kept dry"), log_torn))
        lost = {p: c for p, c in start.items() if p != "crate/b/board.json"}
        cases.append(Case("verify", ("verify", B, "--repair"), lost))
        with concurrent.futures.ThreadPoolExecutor(2) as pool:
            done = list(pool.map(Case.whole, cases))
        print(f"{sum(case.count for case in done)} faults in {len(done)} commands", flush=True)
        self.assertEqual(0, sum(len(case.faults) for case in done), "those printed above")


if __name__ == "__main__":
    unittest.main()
