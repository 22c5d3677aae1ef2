"""The directions of the house: the planner knows nothing of the web, and every door is in the documents."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.routing import APIRoute

from server import demo
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


def test_every_route_is_in_the_documents(tmp_path: Path) -> None:
    words = (ROOT / "README.md").read_text("utf-8") + (ROOT / "DEVELOPERS.md").read_text("utf-8")
    app = create_app(Settings(data_folder=tmp_path))
    missing = [route.path for route in app.routes if isinstance(route, APIRoute) and route.path not in words]
    assert not missing


def test_the_pictures_of_the_readme_are_the_programs_own() -> None:
    for name, svg in demo.drawn().items():
        assert (ROOT / "static" / name).read_text("utf-8") == svg, "python3 -m server.demo draws it again"
