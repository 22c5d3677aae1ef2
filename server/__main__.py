"""``python3 -m server``: set up what is missing, then serve the planner in the browser, or run a command."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from server import bootstrap

PORT = 8317
COMMANDS = ("fetch", "backup", "restore", "rescue")  # server/commands.py, which needs what set-up installs

NAME = "cornerwise" if Path(sys.argv[0]).name == "cornerwise" else "python3 -m server"
EPILOG = f"Other commands, each with --help: {', '.join(COMMANDS)}"


def main(arguments: list[str]) -> int:
    """Run the command that was typed, or start the planner; sets up first where needed. Returns the exit code."""
    if next(iter(arguments), "") not in COMMANDS:
        _options(arguments)  # whatever is wrong with them is said before anything is set up
    if not bootstrap.inside_venv():
        try:
            bootstrap.run_again("server", arguments)
        except bootstrap.SetupError as trouble:
            print(trouble, file=sys.stderr)
            return 1
    return run(arguments)


def installed() -> int:
    """The command ``cornerwise``, where pip installed everything."""
    return run(sys.argv[1:])


def run(arguments: list[str]) -> int:
    """Serve, or run a command, with all that is installed."""
    if next(iter(arguments), "") in COMMANDS:
        from server import commands

        return commands.run(arguments)
    options = _options(arguments)
    from server.serve import serve

    return serve(port=options.port, lan=options.lan, guild=options.guild)


def _options(arguments: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog=NAME, description="Start the border planner.", epilog=EPILOG)
    parser.add_argument("--port", type=_port, default=PORT, help=f"port to listen on (default {PORT})")
    who = parser.add_mutually_exclusive_group()
    who.add_argument("--lan", action="store_true", help="let other devices on this network in")
    who.add_argument("--guild", action="store_true", help="serve a guild, behind a proxy that speaks TLS")
    return parser.parse_args(arguments)


def _port(text: str) -> int:
    try:
        port = int(text)
    except ValueError:
        port = -1
    if not 0 <= port <= 65535:
        raise argparse.ArgumentTypeError(
            f"{text} is no port; take a number from 1024 to 65535, such as {PORT}"
        )
    return port


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
