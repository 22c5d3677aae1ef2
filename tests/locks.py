"""Makes the locks in server/locks anew from pyproject.toml, and tries them on every Python that is here.

``.venv/bin/python -m tests.locks``; ``--try`` leaves them as they are and only tries them. A lock holds for every
supported Python and system, names the hash of every file that may be installed, and no address.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from server.bootstrap import LOCKS, OLDEST, ROOT, lock_file

UV = str(Path(sys.executable).with_name("uv"))
# a lock, and what it brings
LOADS = {
    "run": "server.app",
    "postgres": "psycopg",
    "test": "pytest, scipy, schemathesis",
}
NEWEST_MINOR = 15  # Pythons 3.11 to here are looked for


def make(lock: str) -> None:
    """Resolve one lock anew; what others need as well, as the run lock has it."""
    command = [UV, "pip", "compile", "-q", "pyproject.toml", "--universal", "--upgrade", "--generate-hashes"]
    command += ["--python-version", ".".join(map(str, OLDEST)), "--no-header", "--no-annotate"]
    if lock != "run":
        command += ["--extra", lock, "--constraints", str(lock_file("run"))]
    subprocess.run([*command, "-o", str(lock_file(lock))], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)


def pythons() -> Iterator[str]:
    """Supported Pythons on this machine, "3.12"."""
    for minor in range(OLDEST[1], NEWEST_MINOR + 1):
        version = f"{OLDEST[0]}.{minor}"
        found = [UV, "python", "find", "--no-python-downloads", "--system", version]
        if subprocess.run(found, capture_output=True, check=False).returncode == 0:
            yield version


def try_on(version: str) -> None:
    """Install every lock into an empty environment of this Python, hashes required, and load what it brings."""
    for lock, modules in LOADS.items():
        with tempfile.TemporaryDirectory() as folder:
            python = Path(folder, "bin", "python")
            system = ["--python", version, "--no-python-downloads", "--system"]
            subprocess.run([UV, "venv", "-q", *system, folder], check=True)
            install = [UV, "pip", "install", "-q", "--python", str(python), "--require-hashes"]
            subprocess.run([*install, "-r", str(lock_file(lock))], check=True)
            plain = {"PATH": os.environ["PATH"], "HOME": folder}
            subprocess.run([python, "-c", f"import {modules}"], cwd=ROOT, env=plain, check=True)
        print(f"Python {version}: {lock} installs and loads", flush=True)


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.locks", description=__doc__)
    parser.add_argument("--try", action="store_true", dest="only_try", help="leave the locks as they are")
    options = parser.parse_args(arguments)
    LOCKS.mkdir(exist_ok=True)
    if not options.only_try:
        if shutil.which(UV) is None:
            sys.exit("uv is missing: python3 -m tests sets it up")
        for lock in LOADS:
            make(lock)
    for version in pythons():
        try_on(version)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
