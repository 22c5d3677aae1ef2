"""The scripts: chromium reads each, each is a module, and none takes a name that the browser has given already."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page

pytestmark = pytest.mark.browser

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = sorted((ROOT / "static").rglob("*.js"))
EVERYBODYS = {"event"}  # what a listener is given is called so everywhere
IMPORTS = re.compile(r"^import\b.*?;$|^export\s+(?=const|let|function|async|class)", re.M | re.S)
DECLARED = re.compile(r"\b(?:const|let|var)\s+(\{[^}]*\}|\[[^\]]*\]|\w+)")
FUNCTIONS = re.compile(r"\bfunction\s+(\w*)\s*\(([^)]*)\)")
ARROWS = re.compile(r"\(([\w\s,{}\[\]=.]*)\)\s*=>|\b(\w+)\s*=>")


def names_in(code: str) -> set[str]:
    """What a script declares, at any depth: constants, variables, functions, and what these are given."""
    bare = re.sub(r"//.*", "", code)
    found = [text for groups in FUNCTIONS.findall(bare) + ARROWS.findall(bare) for text in groups]
    found += DECLARED.findall(bare)
    renamed = (re.sub(r"=\s*[^,}\]]+|\w+\s*:", "", text) for text in found)
    return {name for text in renamed for name in re.findall(r"[A-Za-z_]\w*", text)}


def test_names_are_found() -> None:
    code = "const { a, b: c } = x; let [d] = y; function e(f, { g = 1 }) { return (h) => i => h + i; } // const j"
    assert names_in(code) == set("acdefghi")


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_script_is_read_and_keeps_to_its_own_names(script: Path, watched: Page) -> None:
    code = script.read_text("utf-8")
    assert watched.evaluate(
        "code => { new Function('\"use strict\";' + code); return true; }", IMPORTS.sub("", code)
    )
    taken = watched.evaluate(
        "names => names.filter(name => name in window)", sorted(names_in(code) - EVERYBODYS)
    )
    assert taken == []


def test_every_script_is_loaded_as_a_module() -> None:
    tags = [
        tag
        for page in (ROOT / "templates").glob("*.html")
        for tag in re.findall(r"<script[^>]*\bsrc=[^>]*>", page.read_text("utf-8"))
    ]
    assert len(tags) >= 4
    assert [tag for tag in tags if 'type="module"' not in tag] == []
