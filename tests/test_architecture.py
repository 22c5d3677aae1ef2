"""The directions of the house: the planner knows nothing of the web, and every door is in the documents."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from server.app import create_app
from server.settings import Settings

ROOT = Path(__file__).resolve().parent.parent
SHELL = {"server", "fastapi", "starlette", "uvicorn", "jinja2", "httpx", "sqlalchemy", "alembic", "psycopg"}
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "server",
    "planner",
    "templates",
    "static",
    "tests",
}


def modules(folder: str) -> Iterator[Path]:
    yield from sorted((ROOT / folder).rglob("*.py"))


def imported(path: Path) -> set[str]:
    """Top-level names of the packages a module imports, anywhere in it."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            found.add((node.module or "").split(".")[0])
    return found


@pytest.mark.parametrize("path", list(modules("planner")), ids=lambda path: str(path.relative_to(ROOT)))
def test_the_planner_imports_no_web_and_no_store(path: Path) -> None:
    assert not imported(path) & SHELL


def test_the_check_above_can_fail() -> None:
    assert imported(ROOT / "server" / "app.py") & SHELL


def test_which_layout_is_asked_in_one_place() -> None:
    """Who places a choice or takes the best proposal by herself answers what only choose may answer."""
    answers = {
        ("planner.border.layout", "place"),
        ("planner.solver.rank", "best"),
        ("planner.solver.rank", "ranked"),
    }
    asking = {
        str(path.relative_to(ROOT))
        for folder in ("planner", "server")
        for path in modules(folder)
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.ImportFrom)
        and answers & {(node.module or "", alias.name) for alias in node.names}
    }
    solver = {name for name in asking if name.startswith("planner/solver/")}
    assert asking - solver == {"server/api/planner.py"}, "it is given the choice that it places"
    assert "planner/solver/choose.py" in solver


def modules_named(path: Path) -> set[str]:
    """Every module that a file names in an import, whether as a whole or to take something out of it."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {node.module or ""} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def has_routes(path: Path) -> bool:
    """Whether a file makes a router of its own."""
    return re.search(r"^router = APIRouter", path.read_text("utf-8"), re.M) is not None


def test_routers_share_nothing_sideways() -> None:
    """What two pages need stands beneath both: only the application knows the files that have routes."""
    routers = {
        str(path.relative_to(ROOT))[:-3].replace("/", "."): path
        for path in modules("server")
        if has_routes(path)
    }
    assert len(routers) >= 15
    sideways = {
        str(path.relative_to(ROOT)): sorted(modules_named(path) & routers.keys())
        for path in modules("server")
        if path != ROOT / "server" / "app.py" and modules_named(path) & routers.keys()
    }
    assert sideways == {}
    assert modules_named(ROOT / "server" / "app.py") & routers.keys(), "the check can fail"


def bare_tolerances(path: Path) -> list[float]:
    """The numbers in a file that are so small that they can only say how near is near enough."""
    return [
        node.value
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, float) and 0 < node.value < 2e-5
    ]


def test_tolerances_stand_in_one_file_with_their_reasons() -> None:
    with_their_reasons = ROOT / "planner" / "geometry" / "arrays.py"
    assert bare_tolerances(with_their_reasons), "the check can fail"
    assert {path.name: found for path in modules("planner") if (found := bare_tolerances(path))}.keys() == {
        with_their_reasons.name
    }


@pytest.mark.parametrize("module", ["server.bootstrap", "server.__main__", "tests.__main__"])
def test_set_up_needs_nothing_installed(module: str) -> None:
    """Without site-packages (-S) the commands still load: a fresh machine has only the standard library."""
    code = f"import sys; sys.path.insert(0, {str(ROOT)!r}); import {module}"
    done = subprocess.run(
        [sys.executable, "-S", "-I", "-c", code], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_the_top_level_is_as_designed() -> None:
    assert {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} == TOP_LEVEL


def addresses(document: str) -> set[str]:
    """Every address in the first column of a table: ``GET /plans/{id}/a``, `b`, `.c` stand for three."""
    found = set()
    for row in re.findall(r"^\| (`[^|]*) \|", document, re.M):
        last = ""
        for span in re.findall(r"`([^`]+)`", row):
            address = span.split()[-1].split("?")[0]
            if not address.startswith("/"):
                stem = last.rpartition("." if address.startswith(".") else "/")[0]
                address = stem + address if address.startswith(".") else f"{stem}/{address}"
            found.add(address)
            last = address
    return found


def documented(path: str, known: set[str]) -> bool:
    """Whether a route stands there, or under an address that ends in dots."""
    path = path.replace("{plan_id}", "{id}")
    return path in known or any(path.startswith(one.removesuffix("…")) for one in known if one.endswith("…"))


def test_every_route_is_in_the_documents(tmp_path: Path) -> None:
    known = addresses((ROOT / "DEVELOPERS.md").read_text("utf-8"))
    paths = [route.path for route in create_app(Settings(data_folder=tmp_path)).state.routes]
    assert len(paths) >= 50, "the framework keeps its routes elsewhere now"
    assert not [path for path in paths if not documented(path, known)]
    assert not documented("/plans/{plan_id}/nothing", known)


def files_of_the_house(page: str) -> dict[str, set[str]]:
    """The files that DEVELOPERS.md names, by the room it names them in."""
    rooms: dict[str, set[str]] = {}
    room = ""
    block = page[page.index("## The house") : page.index("## Words")]
    for line in block.splitlines():
        if found := re.match(r"    ((?:planner|server)/[\w/]*)", line):
            room = found[1].rstrip("/")
        elif re.match(r"    \S", line):
            room = ""
        if room:
            rooms.setdefault(room, set()).update(re.findall(r"\b\w+\.py\b", line))
    return rooms


def test_every_file_stands_in_the_house() -> None:
    """Each module, in its room; and nothing that is no longer there."""
    there: dict[str, set[str]] = {}
    for path in (*modules("planner"), *modules("server")):
        if path.name != "__init__.py":
            there.setdefault(path.parent.relative_to(ROOT).as_posix(), set()).add(path.name)
    named = files_of_the_house((ROOT / "DEVELOPERS.md").read_text("utf-8"))
    assert {room: more for room, files in there.items() if (more := files - named.get(room, set()))} == {}
    assert {room: more for room, files in named.items() if (more := files - there.get(room, set()))} == {}
