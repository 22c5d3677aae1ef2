"""A link that came through other hands: any field may be missing, doubled, empty or damaged, and no page breaks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from urllib.parse import quote, urlencode

import httpx
import pytest

from planner.demo import demo_plan
from server.pages.forms import values_of
from server.store.links import pack

Ask = Callable[..., httpx.Response]
Fields = list[tuple[str, str]]

DAMAGE = ("\x00", "\uffff", "-1", "nan", "½ [] {% <&\"' 💥", "9" * 300, "\u202e12", "top")
RAW = ("%ff", "%00", "%ed%a0%80")  # no text at all: bytes that are no UTF-8, a NUL, half a surrogate pair
BESIDE = {
    "/": {"view": "run", "side": "left", "layers": "1", "show.fill": "on", "more": "1", "apply": "0",
          "units_were": "in", "plan": "abc", "version": "1", "closer": "on"},
    "/drawing": {"side": "right", "closer": "on"},
    "/chalk": {"plan": "abc", "version": "1"},
    "/supplies": {"basis.thread_weight": "50", "basis.stitches_per_in": "10"},
    "/supplies/list": {},
    "/supplies.csv": {},
    "/compare": {"by": "width", "widths": "7; 8", "keep": "outer", "take.echo": "on", "beside": "abc"},
    "/picture.svg": {"view": "run", "side": "left"},
    "/playback": {},
}  # fmt: skip
QUICK = {"/": 6, "/drawing": 2, "/chalk": 3, "/supplies": 19, "/supplies/list": 99, "/supplies.csv": 99}
SLOW = {"/compare": 40, "/picture.svg": 150, "/playback": 150}
SHEET = f"/plans/{pack(demo_plan())}"
OTHERS = {
    f"{SHEET}/chalk": {"left": "1", "middle": "1"},
    f"{SHEET}/chalk.pdf": {"paper": "a4", "left": "1", "middle": "1"},
    f"{SHEET}/pattern.svg": {"side": "top", "paper": "roll", "roll": "24 in"},
    f"{SHEET}/templates.pdf": {"all": "1", "paper": "a3"},
    f"{SHEET}/making/chalk.pdf": {"paper": "a4", "left": "1"},
    "/shelf": {"query": "blue", "sort": "name", "tag": "red", "page": "1", "bin": "1"},
    "/open": {"plan": pack(demo_plan())},
    "/enter": {"to": "/"},
}


def spoiled(fields: Fields) -> Iterator[str]:
    """Queries with one field of them missing, doubled, empty or damaged."""
    for i, (name, text) in enumerate(fields):
        before, after = fields[:i], fields[i + 1 :]
        yield urlencode([*before, *after])
        yield urlencode([*fields, (name, text)])
        yield urlencode([*before, (name, DAMAGE[i % len(DAMAGE)]), *after, (name, text)])
        yield urlencode([*before, (name, ""), *after])
        for damage in DAMAGE:
            yield urlencode([*before, (name, damage), *after])
        for raw in RAW:
            yield "&".join((urlencode([*before, *after]), f"{quote(name)}={raw}"))


def broken(ask: Ask, path: str, queries: list[str]) -> list[str]:
    found = []
    for query in queries:
        answer = ask("GET", f"{path}?{query}", headers={"Accept": "text/html"})
        if answer.status_code >= 500 or "went wrong on our side" in answer.text:
            found.append(query)
    return found


def form_queries(path: str) -> list[str]:
    return list(spoiled(list({**values_of(demo_plan()), **BESIDE[path]}.items())))


@pytest.mark.parametrize(("path", "every"), [*QUICK.items(), *SLOW.items()])
def test_no_field_of_a_form_breaks_a_page(ask: Ask, path: str, every: int) -> None:
    queries = form_queries(path)
    always = [query for query in queries if "name=" not in query][
        :1
    ]  # once a page answered 500 without a name
    assert broken(ask, path, [*always, *queries[::every]]) == []


@pytest.mark.parametrize(("path", "fields"), OTHERS.items(), ids=lambda one: str(one)[-20:])
def test_no_field_of_another_page_breaks_it(ask: Ask, path: str, fields: dict[str, str]) -> None:
    assert broken(ask, path, list(spoiled(list(fields.items())))) == []


@pytest.mark.long
@pytest.mark.parametrize("path", BESIDE)
def test_no_field_of_a_form_breaks_a_page_in_any_way(ask: Ask, path: str) -> None:
    assert broken(ask, path, form_queries(path)) == []


@pytest.mark.parametrize("path", ["/", "/drawing", "/supplies", "/compare", "/playback", "/chalk"])
def test_what_is_missing_takes_its_default_or_is_asked_for(ask: Ask, path: str) -> None:
    values = values_of(demo_plan())
    del values["name"]
    assert ask("GET", path, params=values).status_code in (200, 303)
    del values["sides_in.left"]
    answer = ask("GET", path, params=values, headers={"Accept": "text/html"})
    assert answer.status_code == 204 or "the left side" in answer.text
