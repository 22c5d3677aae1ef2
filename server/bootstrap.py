"""Sets the planner up on a machine that has only python3.

Standard library alone: this runs before anything else is there. Everything goes into ``.venv`` beside the
code, exactly as a lock says (``server/locks``); a stamp with the lock's hash makes a second start a matter of a
second, and lets an install follow a lock that has changed. ``python3 -m server.bootstrap`` does this alone.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent
FILES = (
    HERE if (HERE / "static").is_dir() else ROOT
)  # templates and static files: inside when pip installed us
VENV = ROOT / ".venv"
LOCKS = HERE / "locks"
OLDEST = (3, 11)
WITHIN = {"run": ("run",), "postgres": ("postgres", "run"), "test": ("test", "postgres", "run")}

Command = list[str]


class SetupError(Exception):
    """Set-up cannot go on; the message says what to type."""


def inside_venv() -> bool:
    """Whether this very process already runs on the project's own interpreter, or pip installed all."""
    return Path(sys.prefix).resolve() == VENV.resolve() or not (ROOT / "pyproject.toml").exists()


def run_again(module: str, arguments: list[str], *, lock: str = "") -> None:
    """Set up if needed, then replace this process by the same command on the project's own interpreter."""
    python = ensure(lock or asked())
    sys.stdout.flush()
    os.chdir(ROOT)
    os.execv(python, [str(python), "-m", module, *arguments])


def asked() -> str:
    """The lock that the settings ask for: a PostgreSQL database needs its driver."""
    return "postgres" if os.environ.get("CORNERWISE_DATABASE_URL", "").startswith("postgres") else "run"


def ensure(lock: str) -> Path:
    """Make sure ``.venv`` holds what a lock says; return its interpreter.

    Raises SetupError with the command to type where something is missing and may not be installed.
    """
    if sys.version_info < OLDEST:
        raise SetupError(f"Cornerwise needs Python {OLDEST[0]}.{OLDEST[1]} or newer; this is {sys.version}.")
    python = VENV / "bin" / "python"
    stamp = VENV / f"stamp-{lock}"
    if python.exists() and stamp.exists() and stamp.read_text() == fingerprint(lock):
        return python
    started = time.monotonic()
    say("Setting up Cornerwise in .venv (a minute the first time, once only)")
    _make_venv(python)
    _install(python, lock)
    for done in WITHIN[lock]:
        (VENV / f"stamp-{done}").write_text(fingerprint(done))
    say(f"  ready after {time.monotonic() - started:.0f} s")
    return python


def fingerprint(lock: str) -> str:
    """What the installed set depends on: the lock and the interpreter."""
    return hashlib.sha256(lock_file(lock).read_bytes() + sys.version.encode()).hexdigest()


def lock_file(lock: str) -> Path:
    """The file of a lock; ``python -m tests.locks`` makes it."""
    return LOCKS / f"{lock}.txt"


def say(line: str) -> None:
    """A line to whoever started the set-up, at once."""
    print(line, flush=True)


def _make_venv(python: Path) -> None:
    if importlib.util.find_spec("ensurepip") is None:
        say("  step 1 of 3: Python's own venv module is missing, installing Debian's python3-venv")
        if not apt_install(["python3-venv"]):
            raise SetupError(
                "Python on this machine cannot make a virtual environment. As an administrator, type\n"
                "    apt-get install python3-venv\n"
                "and start again."
            )
    if not python.exists() or not _has_pip(python):
        say("  step 1 of 3: making .venv")
        _must(
            [sys.executable, "-m", "venv", "--clear", str(VENV)],
            "Could not make .venv. Is the folder writable?",
        )


def _has_pip(python: Path) -> bool:
    return (
        subprocess.run([python, "-m", "pip", "--version"], capture_output=True, check=False).returncode == 0
    )


def _install(python: Path, lock: str) -> None:
    file = lock_file(lock)
    say(f"  step 2 of 3: fetching {file.read_text('utf-8').count('==')} Python packages or fewer")
    pip = [str(python), "-m", "pip", "install", "--disable-pip-version-check", "--no-input"]
    pip += ["--require-hashes", "-r", str(file)]
    with subprocess.Popen(pip, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as process:
        seen: list[str] = []
        for line in process.stdout or ():
            seen.append(line)
            _show_progress(line.strip(), sum(text.startswith("Collecting") for text in seen))
    if process.returncode:
        raise SetupError(
            "".join(seen[-12:]) + "\nThe packages could not be fetched. Is this machine online? Start again."
        )


def _show_progress(line: str, fetched: int) -> None:
    if line.startswith("Collecting"):
        say(f"    {fetched:3d}  {re.split('[^A-Za-z0-9._-]', line.split()[1])[0]}")
    elif line.startswith("Installing collected"):
        say("  step 3 of 3: unpacking them (half a minute or more, without a word)")


def apt_install(packages: list[str]) -> bool:
    """Install Debian packages if this user may; return whether that worked."""
    may = _administrator()
    if may is None or shutil.which("apt-get") is None:
        return False
    say(f"  apt-get install {' '.join(packages)}")
    apt = [*may, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-q"]
    for step in ([*apt, "update"], [*apt, "install", "-y", "--no-install-recommends", *packages]):
        done = subprocess.run(step, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    if done.returncode:
        say("    " + "\n    ".join((done.stdout + done.stderr).strip().splitlines()[-4:]))
    return done.returncode == 0


def _administrator() -> Command | None:
    """The words to put before a command that needs an administrator; None when there are none."""
    if os.geteuid() == 0:
        return []
    if (
        shutil.which("sudo")
        and subprocess.run(["sudo", "-n", "true"], capture_output=True, check=False).returncode == 0
    ):
        return ["sudo", "-n"]
    return None


def _must(command: Command, trouble: str) -> None:
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SetupError(f"{done.stdout}{done.stderr}\n{trouble}")


if __name__ == "__main__":
    try:
        ensure(asked())
    except SetupError as trouble:
        sys.exit(str(trouble))
