#!/usr/bin/python3
"""Mixed requests over and over, with idle, slow and broken ones among them; fails when the server's memory or its open files
grow, or a request goes wrong.

    soak.py           one minute
    soak.py --full    thirty minutes; also with LIEFLAT_FULL=1

Growth: the highest memory of the last third against that of the middle third, so that what is set up once does not count.
"""
import os
import random
import shutil
import sys
import tempfile
import threading
import time
from pathlib import Path

from serve import ROOT, Page, read_all, send_all

UPRIGHT = "edge,side,at_mm,go_mm,no_go_mm\nAB,solder,,3.4,3.45\nBC,solder,,0.5,0.55\nCD,solder,,2.7,2.75\nDA,solder,,0.5,0.55\n"
PHOTO = (ROOT / "samples/photos/photo-1.jpg").read_bytes()
MOST_GROWTH = 3e6   # bytes: the allocator's own steps
MOST_MEMORY = 200e6


class Soak:
    def __init__(self, page, seconds, seed):
        self.page, self.chance = page, random.Random(seed)
        self.until = time.monotonic() + seconds
        self.counts, self.faults = {}, []
        self.lock = threading.Lock()
        self.uploads = 0

    def note(self, what, status, allowed):
        with self.lock:
            self.counts[what, status] = self.counts.get((what, status), 0) + 1
            if status not in allowed:
                self.faults.append(f"{what}: {status}")

    def ask(self, method, path, *more, **named):
        try:
            return self.page.ask(method, path, *more, **named)
        except OSError as fault:
            fault.asked = path
            raise

    def good(self):
        board = self.chance.choice(["001", "003", "005", "006", "010"])
        what = self.chance.randrange(12)
        ask = self.ask
        if what < 3:
            path = self.chance.choice(["/", "/page.js", "/page.css", "/api/session", "/api/catalog", "/api/lot?kept=1", "/drawing.css"])
            self.note("read", ask("GET", path)[0], (200,))
        elif what < 6:
            body = {"flags": {"rest": "upright"}, "input": UPRIGHT, "quick": True}
            self.note("live", ask("POST", f"/api/boards/{board}/live", body)[0], (200, 503))
        elif what < 8:
            path = self.chance.choice(["", "/assessment", "/edges.svg?edge=AB", "/readings.csv", "/assessment.json"])
            self.note("board", ask("GET", f"/api/boards/{board}{path}")[0], (200, 503))
        elif what == 8:
            status = ask("POST", "/api/boards/004/run", {"verb": "note", "words": ["soak"]})[0]
            self.note("note", status, (200, 409, 503))
        elif what == 9 and self.uploads < 400:
            self.uploads += 1
            status = ask("POST", "/api/boards/004/photos?name=s&pose=lying", PHOTO, headers={"Content-Type": "image/jpeg"})[0]
            self.note("photo", status, (200, 503))
        elif what == 10:
            body = {"verb": "preview", "flags": {"way": "plates", "gap-mm": 1}, "job": True}
            status, started = self.page.json("POST", "/api/boards/003/run", body)
            self.note("job", status, (200, 429))
            if status == 200:
                self.note("cancel", ask("DELETE", f"/api/jobs/{started['job']}")[0], (200, 404))
        else:
            self.note("absent", ask("GET", "/api/boards/none")[0], (404,))

    def bad(self):
        host = self.page.host.encode()
        data = self.chance.choice([
            b"", b"GET /", b"GET / HTTP/1.1\r\nHost: " + host + b"\r\nX: ", b"\0" * 5000, b"GET / HTTP/1.1\r\n" + b"A: b\r\n" * 20000,
            b"POST /api/boards/004/photos?name=h&pose=lying HTTP/1.1\r\nHost: " + host + b"\r\nOrigin: http://" + host
            + b"\r\nContent-Type: image/jpeg\r\nContent-Length: 900000\r\n\r\n" + PHOTO[:70000]])
        with self.page.raw(timeout=10) as connection:
            send_all(connection, data)
            if self.chance.random() < 0.5:
                read_all(connection)
        self.note("bad", "ended", ("ended",))

    def work(self, one):
        while time.monotonic() < self.until:
            try:
                one()
            except OSError as fault:
                self.note(f"connection of {one.__name__}, {getattr(fault, 'asked', '')}", type(fault).__name__, ())

    def run(self):
        threads = [threading.Thread(target=self.work, args=(one,)) for one in (self.good, self.good, self.good, self.bad, self.bad)]
        for thread in threads:
            thread.start()
        start, samples = time.monotonic(), []
        while time.monotonic() < self.until:
            samples.append((time.monotonic() - start, self.page.rss(), self.page.open_files()))
            time.sleep(0.5)
        for thread in threads:
            thread.join()
        return samples


def main():
    full = "--full" in sys.argv or os.environ.get("LIEFLAT_FULL") == "1"
    seconds = 1800 if full else 60
    folder = Path(tempfile.mkdtemp(prefix="lieflat-soak-"))
    try:
        shutil.copytree(ROOT / "samples/crate-3", folder / "crate-3", ignore=shutil.ignore_patterns(".cache", ".lock"))
        page = Page(folder, folder / "crate-3")
        soak = Soak(page, seconds, seed=20260302)
        samples = soak.run()
        time.sleep(6)  # the last ones are cut
        left = page.open_files()
        thirds = [[s for s in samples if i * seconds / 3 <= s[0] < (i + 1) * seconds / 3] for i in range(3)]
        memory = [max(s[1] for s in third) for third in thirds]
        growth = memory[2] - memory[1]
        print(f"{seconds} s, {sum(soak.counts.values())} requests: {dict(sorted(soak.counts.items(), key=str))}")
        print("memory by thirds: " + ", ".join(f"{m / 1e6:.1f} MB" for m in memory)
              + f"; open files at the end {left}, at most {max(s[2] for s in samples)}")
        if growth > MOST_GROWTH:
            soak.faults.append(f"memory grew by {growth / 1e6:.1f} MB")
        if max(memory) > MOST_MEMORY:
            soak.faults.append("memory over the bound")
        if left > samples[0][2] + 2:
            soak.faults.append(f"{left} files are open at the end, {samples[0][2]} were at the start")
        if page.stop() != 0:
            soak.faults.append("the server did not end well")
        for fault in soak.faults[:20]:
            print("fault: " + fault, file=sys.stderr)
        return 1 if soak.faults else 0
    finally:
        shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    sys.exit(main())
