"""Starts the program's page on a crate of its own, and talks to it: through http.client, or by hand through a socket."""
import http.client
import json
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
import unittest
from pathlib import Path

ROOT = Path(os.environ["LIEFLAT_ROOT"])
LIEFLAT = os.environ["LIEFLAT"]
NOW = "1773345600"  # 2026-03-12 20:00 UTC


def environment(folder):
    kept = {k: v for k, v in os.environ.items()
            if k in ("PATH", "HOME", "TMPDIR") or k.endswith("SAN_OPTIONS")}
    return {**kept, "SOURCE_DATE_EPOCH": NOW, "XDG_CONFIG_HOME": str(Path(folder) / "settings")}


class Page:
    """One running server."""

    def __init__(self, folder, served, *flags):
        self.folder = Path(folder)
        self.process = subprocess.Popen([LIEFLAT, "open", str(served), "--no-browser", *flags], cwd=folder, text=True,
                                        stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment(folder))
        self.address = self.process.stdout.readline().strip()
        if not self.address:
            raise RuntimeError(f"no address: {self.process.stderr.read()}")
        self.port = int(self.address.rstrip("/").rsplit(":", 1)[1])
        self.host = f"127.0.0.1:{self.port}"

    def ask(self, method, path, body=None, headers=None, host=None, timeout=60):
        """Status, headers and body. A body that is no bytes goes as JSON; Origin and type are the page's own."""
        connection = http.client.HTTPConnection(host or "127.0.0.1", self.port, timeout=timeout)
        try:
            sent = {"Origin": f"http://{host or '127.0.0.1'}:{self.port}"} if method not in ("GET", "HEAD") else {}
            if body is not None and not isinstance(body, bytes):
                body = json.dumps(body).encode()
                sent["Content-Type"] = "application/json"
            sent.update(headers or {})
            connection.request(method, path, body=body, headers={k: v for k, v in sent.items() if v is not None})
            answer = connection.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            connection.close()

    def json(self, method, path, body=None, **more):
        status, _, text = self.ask(method, path, body, **more)
        return status, json.loads(text)

    def rss(self):
        """Memory of the server itself, in bytes."""
        for line in Path(f"/proc/{self.process.pid}/status").read_text().splitlines():
            if line.startswith("VmRSS:"):
                return 1024 * int(line.split()[1])
        raise RuntimeError("no VmRSS")

    def open_files(self):
        return len(os.listdir(f"/proc/{self.process.pid}/fd"))

    def raw(self, timeout=8):
        connection = socket.create_connection(("127.0.0.1", self.port), timeout=timeout)
        return connection

    def stop_keeping_words(self):
        """Ends it, and keeps what it said on stderr."""
        self.process.send_signal(signal.SIGINT)
        _, self.words = self.process.communicate(timeout=20)
        return self.process.returncode

    def stop(self, by=signal.SIGINT):
        if self.process.poll() is None:
            self.process.send_signal(by)
        try:
            return self.process.wait(timeout=20)
        finally:
            self.process.stdout.close()
            self.process.stderr.close()


class PageTest(unittest.TestCase):
    maxDiff = None
    flags = ()

    def setUp(self):
        self.folder = Path(tempfile.mkdtemp(prefix="lieflat-page-"))
        self.addCleanup(shutil.rmtree, self.folder, ignore_errors=True)
        self.crate = self.folder / "crate-3"
        shutil.copytree(ROOT / "samples/crate-3", self.crate, ignore=shutil.ignore_patterns(".cache", ".lock"))
        self.page = self.start()
        self.addCleanup(lambda: self.page.process.poll() is None and self.page.stop())

    def start(self):
        return Page(self.folder, self.crate, *self.flags)

    def program(self, *args, status=0, stdin=""):
        done = subprocess.run([LIEFLAT, *map(str, args)], input=stdin, capture_output=True, text=True, cwd=self.folder,
                              timeout=60, env=environment(self.folder))
        self.assertEqual(done.returncode, status, f"{args}\n{done.stdout}{done.stderr}")
        return done

    def everything(self):
        """Every file in the folder with its bytes, but for kept assessments and locks."""
        return {str(p.relative_to(self.folder)): p.read_bytes() for p in sorted(self.folder.rglob("*"))
                if p.is_file() and ".cache" not in p.parts and p.name != ".lock"}


def read_all(connection):
    """What comes until the end; an end by reset is an end too."""
    got = b""
    try:
        while block := connection.recv(65536):
            got += block
    except (ConnectionResetError, BrokenPipeError):
        pass
    return got


def send_all(connection, data):
    """False when the other side cut in between."""
    try:
        connection.sendall(data)
        return True
    except (ConnectionResetError, BrokenPipeError):
        return False


def status_of(answer):
    return int(answer.split(b" ", 2)[1]) if answer.startswith(b"HTTP/1.1 ") else None


def within(seconds, start):
    return time.monotonic() - start <= seconds
