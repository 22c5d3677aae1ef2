"""Through every door the same layout: whatever was edited since she chose, all that is made carries one stamp."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from io import BytesIO, StringIO
from urllib.parse import unquote
from xml.etree import ElementTree

import ezdxf
import httpx
import pytest
from pypdf import PdfReader

from planner.border.corners.styles import CORNER_STYLES
from planner.errors import PlanError
from planner.plan import Plan
from planner.solver import choose
from planner.stamp import SIGNS
from server.pages.forms import values_of
from server.pages.workbench_view import fill_address
from server.store.links import pack
from tests.strategies import EDITS, edited

Ask = Callable[..., httpx.Response]
STAMP = f"[{SIGNS}]{{6}}"
QUICK = ("pattern.pdf", "pattern.svg", "pattern.dxf", "templates.pdf?all=1", "chalk.pdf")


def on_page(text: str) -> set[str]:
    """The stamp of the main part, and the one written at its foot."""
    said = re.findall(f'<main [^>]*data-stamp="({STAMP})"', text)
    return {*said, *re.findall(f"Stamp <b>({STAMP})</b>", text)} if said else {"none"}


def in_file(answer: httpx.Response) -> set[str]:
    """The stamp in a file's name and, by its kind, in its metadata and on its pages."""
    name = unquote(answer.headers.get("content-disposition", ""))
    found = set(re.findall(f" ({STAMP})\\.", name))
    match answer.headers["content-type"].split(";")[0]:
        case "application/pdf":
            reader = PdfReader(BytesIO(answer.content))
            texts = [page.extract_text() for page in reader.pages]
            found |= {one for text in texts for one in re.findall(f"\\b{STAMP}\\b", text) or ["none"]}
            found |= set(re.findall(f"stamp ({STAMP})", str((reader.metadata or {}).get("/Subject"))))
        case "image/svg+xml":
            root = ElementTree.fromstring(answer.content)
            found |= {(e.text or "")[-6:] for e in root.iter("{http://www.w3.org/2000/svg}metadata")} or {
                "none"
            }
        case "image/vnd.dxf":
            custom = ezdxf.read(StringIO(answer.text)).header.custom_vars  # type: ignore[attr-defined]
            found |= {value[-6:] for _, value in custom.properties} or {"none"}
    return found


def page_doors(ask: Ask, plan: Plan) -> Iterator[tuple[str, set[str]]]:
    """Every page and answer that needs no fill."""
    form, link = values_of(plan), f"/plans/{pack(plan)}"
    for page in ("/", "/supplies", "/supplies/list", "/compare"):
        yield page, on_page(ask("GET", page, params=form).text)
    following = ask("GET", "/drawing", params=form)
    if following.status_code == 200:
        yield "/drawing", on_page(following.text)
    yield "/open", on_page(ask("GET", "/open", params={"plan": pack(plan)}).text)
    yield "/supplies.csv", in_file(ask("GET", "/supplies.csv", params=form))
    for page in ("chalk", "making/chalk.pdf"):
        yield page, on_page(ask("GET", f"{link}/{page}").text)
    body = plan.model_dump(mode="json")
    placed = ask("POST", "/api/layout", json={"plan": body, "stitching": False}).json()
    yield "/api/layout", {placed["stamp"]}
    other = next(style for style in CORNER_STYLES if style != plan.corner)
    beside = ask("POST", "/api/compare", json={"plan": body, "corners": [plan.corner, other]}).json()
    yield "/api/compare", {beside["variants"][0]["stamp"]}
    ways = ask("POST", "/api/proposals", json=body).json()["proposals"]
    known = {way["stamp"] for way in ways if way["choice"] == placed["choice"]}
    yield "/api/proposals", known or {placed["stamp"]}  # hers may land without being one of the best


def file_doors(ask: Ask, plan: Plan) -> Iterator[tuple[str, set[str]]]:
    """Every sheet, and the same plan from the shelf, saved as it lies on the workbench."""
    for sheet in QUICK:
        yield sheet, in_file(ask("GET", f"/plans/{pack(plan)}/{sheet}"))
    saved = ask("POST", "/plans", data=values_of(plan)).headers["location"]
    for page in ("", "/share", "/chalk"):
        yield f"saved{page}", on_page(ask("GET", saved + page).text)
    for file in ("/picture.svg", "/picture.svg?view=whole", "/plan.json", "/chalk.pdf"):
        yield f"saved{file}", in_file(ask("GET", saved + file))


def slow_doors(ask: Ask, plan: Plan) -> Iterator[tuple[str, set[str]]]:
    """Every door that grows the fill."""
    form = values_of(plan)
    yield "/playback", on_page(ask("GET", "/playback", params=form).text)
    yield "/supplies counted", on_page(ask("GET", "/supplies", params={**form, "counted": "on"}).text)
    for view in ("run", "whole"):
        yield view, in_file(ask("GET", "/picture.svg", params={**form, "view": view}))
    yield "/fill.svg", in_file(ask("GET", fill_address(plan)))
    yield "/quilted.svg", in_file(ask("GET", fill_address(plan).replace("fill", "quilted")))
    for sheet in ("handout.pdf", "pattern.svg?fill=1&side=top"):
        yield sheet, in_file(ask("GET", f"/plans/{pack(plan)}/{sheet}"))


def one_stamp(ask: Ask, plan: Plan, *ways: Callable[[Ask, Plan], Iterator[tuple[str, set[str]]]]) -> None:
    try:
        stamp = choose(plan).layout.stamp
    except PlanError:
        assert on_page(ask("GET", "/", params=values_of(plan)).text) == {"none"}
        assert ask("GET", f"/plans/{pack(plan)}/chalk.pdf").status_code == 422
        return
    found = {door: stamps for doors in ways for door, stamps in doors(ask, plan)}
    assert {door: stamps for door, stamps in found.items() if stamps != {stamp}} == {}


@pytest.mark.parametrize("seed", range(len(EDITS)))
def test_one_stamp_through_every_door(ask: Ask, seed: int) -> None:
    one_stamp(ask, edited(seed), page_doors)


@pytest.mark.parametrize("seed", [1])
def test_one_stamp_in_every_file(ask: Ask, seed: int) -> None:
    one_stamp(ask, edited(seed), file_doors)


@pytest.mark.parametrize("seed", [0])
def test_one_stamp_on_all_that_is_filled(ask: Ask, seed: int) -> None:
    one_stamp(ask, edited(seed), slow_doors)


@pytest.mark.long
def test_one_stamp_for_200_edited_plans(ask: Ask) -> None:
    for seed in range(200):
        one_stamp(ask, edited(seed), page_doors, file_doors)
    for seed in range(len(EDITS)):
        one_stamp(ask, edited(seed), slow_doors)
