"""Two people at one board folder: whatever was acknowledged is there, and every file is whole."""
import json
import os
import subprocess
import threading

from program import LIEFLAT, UPRIGHT, ProgramTest, environment, unittest

WRITES = 60 if os.environ.get("LIEFLAT_FULL") else 20


class Writers(ProgramTest):
    def write_many(self, acknowledged, lines):
        for line in lines:
            done = subprocess.run([LIEFLAT, *line, "--json"], cwd=self.folder, capture_output=True, text=True, timeout=60,
                                  env=environment(self.folder))
            if done.returncode == 0:
                acknowledged.append(json.loads(done.stdout))

    def test_two_writers_at_once(self):
        board = self.new_board()
        self.write("up.csv", UPRIGHT)
        acknowledged = [[], []]
        lines = [[("note", board, f"first {i}") for i in range(WRITES)],
                 [("gauge", board, "up.csv") if i % 2 else ("set", board, "--mass", 600 + i) for i in range(WRITES)]]
        lines = [[tuple(map(str, line)) for line in part] for part in lines]
        threads = [threading.Thread(target=self.write_many, args=pair) for pair in zip(acknowledged, lines)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual([WRITES, WRITES], [len(part) for part in acknowledged], "nobody had to wait too long")
        kept = [json.loads(line) for line in (self.folder / board / "log.jsonl").read_text().splitlines()]
        entries = [a["written"] for part in acknowledged for a in part if a["kind"] != "set"]
        self.assertEqual(len(entries), len(kept))
        by_id = {entry["id"]: entry for entry in kept}
        self.assertEqual(len(kept), len(by_id), "no id twice")
        for entry in entries:
            self.assertEqual(entry, by_id[entry["id"]])
        self.assertEqual(600 + WRITES - 2, json.loads((self.folder / board / "board.json").read_text())["mass_g"])
        self.assertTrue(self.document("verify", board)["sound"])


if __name__ == "__main__":
    unittest.main()
