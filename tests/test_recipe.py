"""Adding a kind is one file and one line: a throw-away fill, meeting and corner style go everywhere at once.

Each is put into its family's list, and then every page, sheet, export, link and JSON route is walked with it.
"""

from __future__ import annotations

import json
import re
from collections.abc import AsyncIterator, Callable, Mapping, MutableMapping
from dataclasses import dataclass, replace
from html import unescape
from io import BytesIO
from pathlib import Path
from typing import Any

import httpx
import pytest
from pypdf import PdfReader

from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.border.meetings.record import Meeting
from planner.fills.backgrounds import BACKGROUNDS
from planner.fills.corner_motifs import CORNER_MOTIFS
from planner.fills.echoing.shares import Share
from planner.fills.growing.ground import Ground
from planner.fills.growing.style import Motif, Needs
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.scattered import SCATTERED
from planner.fills.styles import FILLS
from planner.geometry.curves import Arc, Curve, Line
from planner.kinds import Kind, NeedRange
from planner.plan import Plan
from planner.solver import choose
from server.app import create_app
from server.pages.forms import values_of
from server.pages.sheets import SHEETS
from server.settings import Settings
from server.store.links import pack, unpack
from server.workers import Answer, Workers

Ask = Callable[..., httpx.Response]
A_QUILT = {
    "name": "Thrown away",
    "sides_in": {"top": 30.0, "right": 34.0, "bottom": 30.0, "left": 34.0},
    "border_in": {"top": 6.0, "right": 6.0, "bottom": 6.0, "left": 6.0},
    "cut_own": True,
}
FORMLESS = {  # what stands on no plan, or only changes one that is kept
    *(
        "/favicon.ico",
        "/look.css",
        "/new",
        "/words",
        "/enter",
        "/name",
        "/house",
        "/health",
        "/shelf.zip",
        "/shelf/bring",
    ),
    *(
        "/plans/{plan_id}/" + what
        for what in ("restore", "links", "links/stop", "keys", "tags", "copy", "delete", "undelete")
    ),
    *("/api/plans/{plan_id}/" + what for what in ("restore", "undelete", "links", "links/{link_id}", "keys")),
}


def ticks(ground: Ground, needs: Needs, _: Share) -> list[list[tuple[Curve, ...]]]:
    """One short straight line off the spine of each pocket."""
    arc = next(stretch.curve for stretch in ground.flank if isinstance(stretch.curve, Arc) and stretch.flow)
    (x, y), (u, h) = arc.point(0.5), arc.centre
    share = needs.smallest / arc.radius
    return [[(Line((x, y), (x + share * (u - x), y + share * (h - y))),)]]


TICKS = FillRecord(
    kind="thrown_ticks",
    listed="ticks off the spine",
    spoken="little ticks",
    by_hand="Each tick goes out and comes back.",
    needs=NeedRange(0.5, 1.0, 1.5, 3.0, 4.0, 0.75, 0.125),
    thread=ThreadFigures(area=0.5, spine=0.5, feature=0.0),
    style=ticks,
    shapes={"thrown_ticks": "a tick"},
)
APART = Meeting(
    kind="thrown_apart",
    listed="an inch apart",
    spoken="an inch of air in the middle",
    chalked="The two last circles stand {wide} apart.",
    takes="what is left",
    limits=lambda plan, band: (1.0, 3.0),
)
MARCHING = replace(
    CORNER_STYLES["turning"],
    kind="thrown_march",
    name="marching",
    listed="marching round the corner",
    by_hand="March on from curl to curl.",
)


@dataclass(frozen=True)
class Thrown:
    """A throw-away kind, and its family's list.

    change: what makes a plan ask for it; words: what must be said of it; beside: what it is compared with, by what
    varies.
    """

    family: Mapping[str, Kind]
    record: Kind
    change: dict[str, object]
    words: tuple[str, ...]
    beside: dict[str, str]

    def plan(self) -> Plan:
        """A small quilt with it, as the planner lays it out."""
        return choose(Plan.model_validate({**A_QUILT, **self.change})).plan


BUDS = replace(
    CORNER_MOTIFS["teardrops"],
    kind="thrown_buds",
    listed="buds, two and two",
    spoken="Buds in the corners.",
    by_hand="Each bud goes out and comes back.",
)


BEADS = replace(
    BACKGROUNDS["pebbles"],
    kind="thrown_beads",
    listed="beads on a string",
    spoken="beads strung behind",
    by_hand="String the beads.",
    shape="bead",
    shapes={"bead": "one more bead"},
)


def acorn(tail: Arc, needs: Needs) -> Motif | None:
    """A cone of another kind."""
    found = SCATTERED["cones"].tip
    motif = found(tail, needs) if found else None
    return motif and replace(motif, outlines=tuple(replace(one, kind="acorn") for one in motif.outlines))


ACORNS = replace(
    SCATTERED["cones"],
    kind="thrown_acorns",
    listed="acorns, one by one",
    spoken="acorns strewn about",
    by_hand="Round each acorn.",
    tip=acorn,
    shapes={"acorn": "one more acorn"},
)


KINDS = {
    "fill": Thrown(
        FILLS,
        TICKS,
        {"fill": {"kind": TICKS.kind}},
        (TICKS.listed, TICKS.spoken, TICKS.by_hand, "a tick"),
        {"fill": "feathers"},
    ),
    "meeting": Thrown(
        MEETINGS,
        APART,
        {"meeting": APART.kind},
        (APART.listed, APART.spoken, "The two last circles stand"),
        {},
    ),
    "corner": Thrown(
        CORNER_STYLES,
        MARCHING,
        {"corner": MARCHING.kind},
        (MARCHING.listed, "marching corners", MARCHING.by_hand),
        {"corner": "turning"},
    ),
    "corner_motif": Thrown(
        CORNER_MOTIFS,
        BUDS,
        {"corner_motif": BUDS.kind},
        (BUDS.listed, BUDS.spoken, BUDS.by_hand),
        {},
    ),
    "scattered": Thrown(
        SCATTERED,
        ACORNS,
        {"scattered": ACORNS.kind},
        (ACORNS.listed, ACORNS.spoken, ACORNS.by_hand, "one more acorn"),
        {},
    ),
    "background": Thrown(
        BACKGROUNDS,
        BEADS,
        {"background": BEADS.kind},
        (BEADS.listed, BEADS.spoken, BEADS.by_hand, "one more bead"),
        {},
    ),
}


@pytest.fixture(params=KINDS)
def thrown(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Thrown:
    """One of them, in its list until the test ends."""
    found = KINDS[request.param]
    assert isinstance(found.family, MutableMapping)
    monkeypatch.setitem(found.family, found.record.kind, found.record)

    async def here(
        self: Workers, request: object, work: Callable[..., Any], *arguments: Any
    ) -> AsyncIterator[str | Answer[Any]]:
        """A process of its own would not know the throw-away kind."""
        yield Answer(work(*arguments))

    monkeypatch.setattr(Workers, "told", here)
    return found


def said(answer: httpx.Response) -> str:
    """What a person reads of an answer: a page without its markup, all text of a PDF."""
    if answer.headers["content-type"].startswith("application/pdf"):
        pages = PdfReader(BytesIO(answer.content)).pages
        return " ".join(" ".join(page.extract_text() for page in pages).split())
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", answer.text)).split()).replace("\N{NO-BREAK SPACE}", " ")


def test_a_new_kind_goes_everywhere(ask: Ask, thrown: Thrown, tmp_path: Path) -> None:
    plan, kind = thrown.plan(), thrown.record.kind
    form, link = values_of(plan), pack(plan)
    body = plan.model_dump(mode="json")
    assert unpack(link) == plan
    walked: set[str] = set()
    heard: list[str] = []

    def walk(method: str, route: str, status: int = 200, **arguments: Any) -> httpx.Response:
        path = route.format(**{"plan_id": arguments.pop("id", link), "sheet": arguments.pop("sheet", "")})
        answer = ask(method, path, **arguments)
        assert answer.status_code == status, f"{method} {path}: {answer.status_code} {answer.text[:400]}"
        walked.add(route)
        if "html" in answer.headers.get("content-type", "") or "pdf" in answer.headers.get(
            "content-type", ""
        ):
            heard.append(said(answer))
            assert kind not in heard[-1], f"{route} says the program's own word for it"
        return answer

    bench = walk("GET", "/", params=form).text
    assert f'value="{kind}" selected' in bench
    for route in (
        "/drawing",
        "/touching",
        "/picture.svg",
        "/supplies",
        "/supplies/list",
        "/supplies.csv",
        "/playback",
        "/threads",
    ):
        walk("GET", route, params=form)
    walk("GET", "/circles", params={**form, "shelf": "1"})
    walk("GET", "/supplies", params={**form, "counted": "on"})
    walk("GET", "/compare", params={**form, "by": "width", "widths": "6; 6 1/2"})
    walk("GET", "/fill.svg", params={"plan": link})
    walk("GET", "/card.svg", params={"plan": link})
    walk("GET", "/quilted.svg", params={"plan": link})
    walk("GET", "/truescale.svg", params={"plan": link, "side": "left"})
    walk("GET", "/open", params={"plan": link})
    walk("GET", "/chalk", params=form, status=303)
    for page in ("chalk", "companion", "drift", "truescale"):
        walk("GET", "/plans/{plan_id}/" + page)
    for sheet in SHEETS:
        walk("GET", "/plans/{plan_id}/" + sheet, params={"all": "1"})
    walk("GET", "/plans/{plan_id}/making/{sheet}", sheet="handout.pdf")

    found = walk("POST", "/api/proposals", json={**body, "choice": None}).json()
    assert found["proposals"]
    layout = walk("POST", "/api/layout", json={"plan": body, "choice": body["choice"]}).json()
    assert layout["circles"]
    walk("POST", "/api/compare", json={"plan": body, "widths_in": [6.0, 6.5]})
    for what, other in thrown.beside.items():
        columns = walk("POST", "/api/compare", json={"plan": body, f"{what}s": [kind, other]}).json()[
            "variants"
        ]
        assert all(column["choice"] for column in columns)
        walk("GET", "/compare", params={**form, "by": what, f"take.{kind}": "on", f"take.{other}": "on"})

    saved = walk("POST", "/api/plans", json={"plan": body}, status=201).json()
    kept = {"id": saved["id"]}
    assert walk("GET", "/api/plans/{plan_id}", **kept).json()["plan"] == body
    walk("PUT", "/api/plans/{plan_id}", json={"plan": body, "base_version": saved["version"]}, **kept)
    for route in ("/api/plans", "/shelf"):
        walk("GET", route)
    for what in ("versions", "share", "plan.json", "picture.svg"):
        walk("GET", "/plans/{plan_id}/" + what, **kept)
    walk("GET", "/plans/{plan_id}/compare", params={"one": 1, "other": 2}, **kept)
    walk("GET", "/plans/{plan_id}", **kept)
    walk("GET", "/api/plans/{plan_id}/versions", **kept)
    walk("POST", "/api/plans/{plan_id}/copy", status=201, **kept)
    walk("POST", "/plans", data=form, status=303)

    for words in thrown.words:
        assert any(words in page for page in heard), words
    app = create_app(Settings(data_folder=tmp_path))  # one that has answered nothing yet
    assert kind in json.dumps(app.openapi()["components"]["schemas"])
    routes = {route.path for route in app.state.routes}
    assert routes - walked == FORMLESS


def test_what_was_thrown_away_is_gone() -> None:
    for one in KINDS.values():
        assert one.record.kind not in one.family
        with pytest.raises(ValueError, match="Input should be"):
            Plan.model_validate({**A_QUILT, **one.change})
