"""Sets the planner up on a machine that has only python3.

Standard library alone: this runs before anything else is there. Everything goes into ``.venv`` beside the
code; a stamp with the hash of pyproject.toml makes a second start a matter of a second.
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

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
OLDEST = (3, 11)

Command = list[str]


class SetupError(Exception):
    """Set-up cannot go on; the message says what to type."""


def inside_venv() -> bool:
    """Whether this very process already runs on the project's own interpreter."""
    return Path(sys.prefix).resolve() == VENV.resolve()


def run_again(module: str, arguments: list[str], *, extra: str = "") -> None:
    """Set up if needed, then replace this process by the same command on the project's own interpreter."""
    python = ensure(extra)
    sys.stdout.flush()
    os.chdir(ROOT)
    os.execv(python, [str(python), "-m", module, *arguments])


def ensure(extra: str = "") -> Path:
    """Make sure ``.venv`` holds what pyproject.toml asks for (with ``extra``); return its interpreter.

    Raises SetupError with the command to type where something is missing and may not be installed.
    """
    if sys.version_info < OLDEST:
        raise SetupError(f"Cornerwise needs Python {OLDEST[0]}.{OLDEST[1]} or newer; this is {sys.version}.")
    python = VENV / "bin" / "python"
    stamp = VENV / f"stamp-{extra or 'run'}"
    wanted = fingerprint()
    if python.exists() and stamp.exists() and stamp.read_text() == wanted:
        return python
    started = time.monotonic()
    say("Setting up Cornerwise in .venv (a minute the first time, once only)")
    _make_venv(python)
    _install(python, extra)
    for done in {"run", extra or "run"}:
        (VENV / f"stamp-{done}").write_text(wanted)
    say(f"  ready after {time.monotonic() - started:.0f} s")
    return python


def fingerprint() -> str:
    """What the installed set depends on: the list of requirements and the interpreter."""
    return hashlib.sha256((ROOT / "pyproject.toml").read_bytes() + sys.version.encode()).hexdigest()


def say(line: str) -> None:
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


def _install(python: Path, extra: str) -> None:
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    wanted: list[str] = project["dependencies"] + (project["optional-dependencies"][extra] if extra else [])
    say(f"  step 2 of 3: fetching {len(wanted)} Python packages and what they need")
    pip = [str(python), "-m", "pip", "install", "--disable-pip-version-check", "--no-input", *wanted]
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
