"""The library as another project finds it: installed to a folder, found, built against, run; and nothing left when it is removed."""
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT, BUILD = Path(os.environ["LIEFLAT_ROOT"]), Path(os.environ["LIEFLAT_BUILD"])


def run(*line, **more):
    done = subprocess.run([str(word) for word in line], capture_output=True, text=True, **more)
    if done.returncode:
        sys.exit(f"{' '.join(map(str, line))}\n{done.stdout}{done.stderr}")
    return done.stdout


with tempfile.TemporaryDirectory(prefix="lieflat-install-") as folder:
    prefix, project = Path(folder) / "prefix", Path(folder) / "project"
    for component in ("program", "library"):
        run("cmake", "--install", BUILD, "--prefix", prefix, "--component", component)
    shutil.copytree(ROOT / "samples/library", project)
    run("cmake", "-S", project, "-B", project / "build", "-G", "Ninja", f"-DCMAKE_PREFIX_PATH={prefix}", "-DCMAKE_BUILD_TYPE=Debug")
    run("cmake", "--build", project / "build")
    board = Path(folder) / "003"
    shutil.copytree(ROOT / "samples/crate-3/003", board)
    said = run(project / "build/verdict", board)
    print(said, end="")
    # samples/README.md promises this board to be over its limit.
    bow = re.fullmatch(r"crate-3/003: bow (\S+) % \(.* to .*\), over; do: mount\n", said)
    if not bow or not 1.05 < float(bow[1]) < 1.15:
        sys.exit("the program on the library said something else")
    # The installed program, read-only, from another folder.
    run("chmod", "-R", "a-w", prefix)
    program = prefix / "bin/lieflat"
    run(program, "new", "b", "--size", "305x244", cwd=folder)
    run(program, "report", "b", "-o", "b.html", cwd=folder)
    for name in ("share/man/man1/lieflat.1.gz", "share/bash-completion/completions/lieflat", "share/zsh/vendor-completions/_lieflat",
                 "share/fish/vendor_completions.d/lieflat.fish", "share/lieflat/schemas/board.schema.json",
                 "share/lieflat/calib/acceptance.json", "share/doc/lieflat/copyright"):
        if not (prefix / name).stat().st_size:
            sys.exit(f"{name} is empty")
    run(program, "assess", "b", "--calib", prefix / "share/lieflat/calib", cwd=folder)
    run("bash", "-n", prefix / "share/bash-completion/completions/lieflat")
    run("chmod", "-R", "u+w", prefix)
