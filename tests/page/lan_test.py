"""The network's door: shut to all but paired devices, told so before any body is read, and absent without --lan.
Needs an address of this machine in some network, as --lan itself does."""
import json
import re
import socket
import subprocess
import time

from serve import LIEFLAT, Page, PageTest, environment, read_all, status_of, unittest


class Lan(PageTest):
    def start(self):
        told = subprocess.run([LIEFLAT, "open", str(self.crate), "--lan", "0.0.0.0"], capture_output=True, text=True, timeout=20,
                              env=environment(self.folder))
        self.assertEqual(2, told.returncode, told.stderr)
        found = re.search(r"one of ([0-9.]+)", told.stderr)
        self.assertIsNotNone(found, "this machine has no network address: " + told.stderr)
        self.lan = found.group(1)
        return Page(self.folder, self.crate, "--lan", self.lan)

    def ask(self, method, path, body=None, **headers):
        return self.page.ask(method, path, body, headers={k.replace("_", "-"): v for k, v in headers.items()}, host=self.lan)

    def pair(self):
        url = self.page.json("GET", "/api/pairing")[1]["url"]
        base, secret = url.split("#pair=")
        self.assertEqual(f"http://{self.lan}:{self.page.port}/", base)
        self.assertRegex(secret, "^[0-9a-f]{32}$")
        return secret

    def test_shut_until_paired(self):
        for path in ("/", "/page.js", "/page.css"):
            self.assertEqual(200, self.ask("GET", path)[0], path)
        closed = ["/api/session", "/api/lot", "/api/catalog", "/api/boards/003", "/api/boards/003/photos/a.jpg", "/drawing.css",
                  "/api/pairing", "/api/jobs/1", "/api/boards/nothing", "/api/nothing"]
        for path in closed:
            self.assertEqual(403, self.ask("GET", path)[0], path)
        secret = self.pair()
        self.assertEqual(secret, self.pair(), "it stays until it is used")
        for wrong in ("", "0" * 32, secret[:-1], secret + "0", None, 7, [secret]):
            self.assertEqual(403, self.ask("POST", "/api/pair", {"secret": wrong})[0], wrong)
        status, headers, _ = self.ask("POST", "/api/pair", {"secret": secret})
        self.assertEqual(200, status)
        cookie = headers["Set-Cookie"]
        self.assertIn("HttpOnly", cookie)
        self.assertIn("SameSite=Strict", cookie)
        self.assertNotIn(secret, cookie)
        value = cookie.split(";")[0]
        self.assertEqual(403, self.ask("POST", "/api/pair", {"secret": secret})[0], "once only")
        self.assertNotEqual(secret, self.pair())
        status, _, body = self.ask("GET", "/api/session", Cookie=value)
        self.assertEqual((200, True), (status, json.loads(body)["phone"]))
        self.assertEqual(200, self.ask("GET", "/api/lot", Cookie=value)[0])
        self.assertEqual(403, self.ask("GET", "/api/pairing", Cookie=value)[0])
        self.assertEqual(403, self.ask("GET", "/api/lot", Cookie=value + "0")[0])
        note = {"verb": "note", "words": ["by the phone"]}
        self.assertEqual(403, self.ask("POST", "/api/boards/003/run", note)[0])
        self.assertEqual(403, self.ask("POST", "/api/boards/003/run", note, Cookie=value, Origin="http://example.invalid")[0])
        self.assertEqual(403, self.ask("POST", "/api/boards/003/run", note, Cookie=value, Origin=None)[0])
        self.assertEqual(200, self.ask("POST", "/api/boards/003/run", note, Cookie=value)[0])

    def test_refused_before_the_body(self):
        """The length is announced, the body never sent: the answer comes all the same, and at once."""
        name = f"{self.lan}:{self.page.port}".encode()
        for path, kind in ((b"/api/boards/003/photos?name=a&pose=lying", b"image/jpeg"), (b"/api/boards/003/run", b"application/json")):
            start = time.monotonic()
            with socket.create_connection((self.lan, self.page.port), timeout=10) as connection:
                connection.sendall(b"POST " + path + b" HTTP/1.1\r\nHost: " + name + b"\r\nOrigin: http://" + name
                                   + b"\r\nContent-Type: " + kind + b"\r\nContent-Length: 1000000\r\n\r\n")
                answer = read_all(connection)
            self.assertEqual(403, status_of(answer), answer)
            self.assertLess(time.monotonic() - start, 2.0)
        self.assertFalse((self.crate / "003/photos").exists())

    def test_each_door_has_its_names(self):
        lan, port = self.lan, self.page.port
        self.assertEqual(403, self.ask("GET", "/", Host=f"127.0.0.1:{port}")[0])
        self.assertEqual(403, self.ask("GET", "/", Host=f"localhost:{port}")[0])
        self.assertEqual(403, self.page.ask("GET", "/", headers={"Host": f"{lan}:{port}"})[0])
        self.assertEqual(200, self.page.ask("GET", "/", headers={"Host": f"localhost:{port}"})[0])

    def test_what_the_person_is_told(self):
        self.assertEqual(0, self.page.stop_keeping_words())
        self.assertIn("whoever is in the same network can overhear it", self.page.words)
        self.assertRegex(self.page.words, rf"http://{re.escape(self.lan)}:\d+/#pair=[0-9a-f]{{32}}")
        self.assertIn("█", self.page.words)
        self.assertLessEqual(max(len(re.sub("\033\\[[0-9;]*m", "", line)) for line in self.page.words.splitlines()), 80)

    def test_absent_without_lan(self):
        alone = Page(self.folder, self.crate)
        try:
            with self.assertRaises(ConnectionRefusedError):
                socket.create_connection((self.lan, alone.port), timeout=5)
            self.assertEqual(404, alone.ask("GET", "/api/pairing")[0])
            self.assertFalse(alone.json("GET", "/api/session")[1]["lan"])
        finally:
            alone.stop()


if __name__ == "__main__":
    unittest.main()
