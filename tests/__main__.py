"""``python3 -m tests``: set up what is missing, then run every check and every test.

Arguments go on to pytest: ``python3 -m tests -k solver``, ``python3 -m tests --long``.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from server import bootstrap

CHECKS = (
    ["ruff", "check", "."],
    ["ruff", "format", "--check", "."],
    ["mypy"],
)


def main(arguments: list[str]) -> int:
    if not bootstrap.inside_venv():
        try:
            bootstrap.run_again("tests", arguments, lock="test")
        except bootstrap.SetupError as trouble:
            print(trouble, file=sys.stderr)
            return 1
    install_tools()
    failed = 0
    for check in CHECKS:
        bootstrap.say(f"\n{' '.join(check)}")
        failed |= subprocess.run([sys.executable, "-m", *check], cwd=bootstrap.ROOT, check=False).returncode
    bootstrap.say("\npytest")
    tests = subprocess.run([sys.executable, "-m", "pytest", *arguments], cwd=bootstrap.ROOT, check=False)
    return tests.returncode or failed


def install_tools() -> None:
    """Debian's programs that some tests drive: a browser, a PDF renderer, PostgreSQL, a proxy."""
    missing = [package for package, there in tools().items() if not there]
    if not missing:
        return
    bootstrap.say(f"Debian packages the tests drive and this machine lacks: {', '.join(missing)}")
    if not bootstrap.apt_install(missing):
        bootstrap.say(
            "They could not be installed here, and the tests that need them will be skipped.\n"
            f"To run those too, as an administrator type:  apt-get install {' '.join(missing)}"
        )


def tools() -> dict[str, bool]:
    """Debian package -> whether what the tests need of it is there."""
    return {
        "chromium": shutil.which("chromium") is not None,
        # what drives the browser is linked against it
        "libatomic1": any(Path("/usr/lib").glob("*/libatomic.so.1")),
        "poppler-utils": shutil.which("pdftoppm") is not None,
        "nginx-light": shutil.which("nginx", path=f"{os.environ.get('PATH', '')}:/usr/sbin") is not None,
        "openssl": shutil.which("openssl") is not None,
        "postgresql": any(Path("/usr/lib/postgresql").glob("*/bin/initdb")),
    }


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
