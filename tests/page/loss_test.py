"""Killing the server while photos come in and readings are typed loses nothing that was acknowledged, and leaves nothing
half done that anybody would see."""
import hashlib
import json
import os
import random
import signal
import threading
import time

from serve import ROOT, PageTest, send_all, unittest

PHOTO = (ROOT / "samples/photos/photo-1.jpg").read_bytes()
KILLS = 40 if os.environ.get("LIEFLAT_FULL") == "1" else 4


class Loss(PageTest):
    def log(self):
        return [json.loads(line) for line in (self.crate / "001/log.jsonl").read_text(encoding="utf-8").splitlines()]

    def edit(self, acknowledged, photos, number):
        """Notes and photos, one after the other, until the server is gone."""
        try:
            while True:
                number += 1
                text = f"note {number}"
                status, entry = self.page.json("POST", "/api/boards/001/run", {"verb": "note", "words": [text]})
                if status == 200:
                    acknowledged[entry["id"]] = text
                status, stored = self.page.json("POST", "/api/boards/001/photos?name=a&pose=lying", PHOTO,
                                                headers={"Content-Type": "image/jpeg"})
                if status == 200:
                    photos.add(stored["photo"])
        except (OSError, json.JSONDecodeError, ValueError):
            return
        except Exception as fault:  # http.client has its own for an answer that ends early
            self.assertEqual("http.client", type(fault).__module__)

    def test_kill(self):
        seed = 20260302
        print(f"seed {seed}, {KILLS} kills")
        chance = random.Random(seed)
        acknowledged, photos = {}, set()
        for kill in range(KILLS):
            halfway = self.page.raw()
            send_all(halfway, b"POST /api/boards/001/photos?name=half&pose=lying HTTP/1.1\r\nHost: " + self.page.host.encode()
                     + b"\r\nOrigin: http://" + self.page.host.encode() + b"\r\nContent-Type: image/jpeg\r\n"
                     + b"Content-Length: %d\r\n\r\n" % len(PHOTO) + PHOTO[:len(PHOTO) // 2])
            editor = threading.Thread(target=self.edit, args=(acknowledged, photos, 1000 * kill))
            editor.start()
            time.sleep(chance.uniform(0.3, 1.0))
            self.assertEqual(-signal.SIGKILL, self.page.stop(signal.SIGKILL))
            editor.join()
            halfway.close()
            self.page = self.start()
        self.assertGreater(len(acknowledged), KILLS)
        self.assertGreater(len(photos), 0)
        texts = {entry["id"]: entry.get("text") for entry in self.log()}
        for entry, text in acknowledged.items():
            self.assertEqual(text, texts.get(entry), entry)
        want = hashlib.sha256(PHOTO).hexdigest()
        for photo in photos:
            self.assertEqual(want, hashlib.sha256((self.crate / "001" / photo).read_bytes()).hexdigest(), photo)
        for path in (self.crate / "001/photos").iterdir():
            whole = path.name.startswith(".upload-") or path.read_bytes() == PHOTO
            self.assertTrue(whole, path.name)
        self.program("verify", self.crate)
        self.sweep()

    def sweep(self):
        """What a killed upload leaves is hidden, and goes once it is old."""
        left = [p for p in (self.crate / "001/photos").iterdir() if p.name.startswith(".upload-")]
        self.assertGreater(len(left), 0)
        status, board = self.page.json("GET", "/api/boards/001")
        self.assertEqual(200, status)
        self.assertFalse([name for name in board["photos"] if ".upload-" in name])
        for path in left:
            os.utime(path, (time.time() - 7200, time.time() - 7200))
        self.page.json("GET", "/api/boards/001")
        self.assertFalse([p for p in left if p.exists()])

    def test_an_end_by_ctrl_c_is_clean(self):
        """What runs is ended, who waits is told, nothing stays behind."""
        answers = []
        body = {"flags": {"rest": "upright"}, "input": "edge,side,at_mm,go_mm,no_go_mm\nAB,solder,,3.4,3.45\nBC,solder,,0.5,0.55\n"}

        def ask():
            try:
                answers.append(self.page.ask("POST", "/api/boards/003/live", body)[0])
            except OSError:
                answers.append("cut")
        threads = [threading.Thread(target=ask) for _ in range(6)]
        for thread in threads:
            thread.start()
        time.sleep(0.3)
        start = time.monotonic()
        self.assertEqual(0, self.page.stop())
        self.assertLess(time.monotonic() - start, 5.0)
        for thread in threads:
            thread.join()
        self.assertEqual(6, len(answers))


if __name__ == "__main__":
    unittest.main()
