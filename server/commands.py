"""The commands beside starting the planner: fetch a plan, back everything up, restore it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from planner.errors import PlanError
from server.settings import Settings


def run(arguments: list[str]) -> int:
    """Run one command; its exit code. Troubles are said in words on standard error."""
    options = _parser().parse_args(arguments)
    url = Settings().store_url
    try:
        if options.command == "fetch":
            _fetch(options.link)
        elif options.command == "backup":
            _backup(url, options.file)
        elif options.command == "rescue":
            _rescue(options.file)
        else:
            _restore(url, options.file)
    except PlanError as trouble:
        print(f"{trouble.message} {trouble.cure}", file=sys.stderr)
        return 1
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python3 -m server")
    commands = parser.add_subparsers(dest="command", required=True)
    fetch = commands.add_parser("fetch", description="Bring a guild-mate's plan to your own shelf.")
    fetch.add_argument("link", help="a view or edit link, or a link that carries the plan")
    for name, words in (
        ("backup", "Write all that is kept to FILE, while the planner runs or not."),
        ("restore", "Put a backup into an empty data folder or database."),
        ("rescue", "Save every version that can be read from a damaged FILE, such as plans.db."),
    ):
        commands.add_parser(name, description=words).add_argument("file", type=Path, metavar="FILE")
    return parser


def _fetch(link: str) -> None:
    from server.store.fetch import fetch
    from server.store.versions import Store

    plan = fetch(link)
    store = Store.of(Settings())
    saved = store.create(plan)
    store.close()
    print(f"“{plan.name}” is on your shelf now: /plans/{saved.id}")


def _backup(url: str, file: Path) -> None:
    from server.store.backup import backup

    counts = backup(url, file)
    print(f"In {file}: {_told(counts['plans'], counts['versions'])}")


def _restore(url: str, file: Path) -> None:
    from server.store.backup import restore

    counts = restore(url, file)
    print(f"On the shelf again: {_told(counts['plans'], counts['versions'])}")


def _rescue(file: Path) -> None:
    from server.store.rescue import rescue

    out = file.with_name(f"{file.stem}-rescued.zip")
    plans, versions = rescue(file, out)
    print(f"In {out}: {_told(plans, versions)}. Bring it in on the shelf's page")


def _told(plans: int, versions: int) -> str:
    """``1 plan in 3 versions``."""
    return " in ".join(
        f"{n} {word}" + ("" if n == 1 else "s") for n, word in ((plans, "plan"), (versions, "version"))
    )
