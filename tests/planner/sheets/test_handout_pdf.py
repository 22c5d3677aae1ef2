"""The hand-out tells the stitching in the order in which the needle goes."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from planner.border.layout import Layout
from planner.fills import fill
from planner.fills.shape import FillOfLayout
from planner.pictures.playback import KINDS, play_data
from planner.pictures.stages import order_in_words, stages
from planner.plan import Choice, Counts, Middles, Plan, SideLengths
from planner.sheets.handout_pdf import handout_pdf, stitching, to_bring
from planner.sheets.paper import PAPERS
from planner.solver import choose
from planner.stitching.order import path_of
from planner.threads import Working
from tests.planner.landed import SPINE_LAST, STYLES, example, wall_hanging

HEADINGS = (
    "What to bring",
    "How to chalk it",
    "How to stitch it",
    "Common troubles and their cures",
    "Take care",
)
FIRST = {"threads": SPINE_LAST["threads"], "stitched_with": {"main": 1, "stems": 2}, "spine": "first"}


@pytest.fixture(scope="module")
def bare() -> tuple[Layout, FillOfLayout]:
    """A wall hanging and its fill, which hangs on no thread."""
    layout = wall_hanging()
    return layout, fill(layout)


@pytest.mark.parametrize("reach", [None, 12.0], ids=["whole quilt", "frame"])
@pytest.mark.parametrize(
    "fields",
    [SPINE_LAST, FIRST, {"spine": "first"}, {"spine": "on_the_way"}, {}],
    ids=["spine last", "spine first of three", "first", "on the way", "as is shorter"],
)
def test_the_words_follow_the_needle(
    bare: tuple[Layout, FillOfLayout], fields: dict[str, object], reach: float | None
) -> None:
    """Against the moves one by one: what they say comes first does, in the hand-out and over the play-back."""
    layout, grown = bare
    working = Working(way="frame", reach_in=reach) if reach else Working()
    plan = Plan.model_validate(layout.plan.model_dump() | fields | {"working": working})
    layout = replace(layout, plan=plan)
    path = path_of(layout, grown)
    steps, words = stitching(layout, path), order_in_words(plan, path)
    strip = [move for move in path.segments if move.strip == 0]
    spines = [n for n, move in enumerate(strip) if move.kind == "spine"]
    fills = [n for n, move in enumerate(strip) if move.kind == "fill"]
    told = next(n for n, step in enumerate(steps) if "spines" in step.lower() and "C " in step)
    filling = next(n for n, step in enumerate(steps) if "pocket by pocket" in step)
    if max(spines) < min(fills):
        assert told < filling
        assert steps[0].startswith("Spines first")
        assert "the spines first" in words
    elif max(fills) < min(spines):
        assert filling < told
        assert steps[0].startswith("First rust (main shapes")
        assert "rust and gold first, then green" in words
    else:
        assert steps[0].startswith("Spines on the way")
        assert "on the way" in words
    assert ("each strip" in " ".join(steps)) == (reach is not None) == words.startswith("strip by strip")
    data = play_data(layout, grown, stages(layout, path), path)
    kinds = [KINDS[data["moves"][n][0]] for *_, moves in data["stages"] for n in moves]
    sewn = set()
    for kind, move in zip(kinds, path.segments, strict=True):
        assert (kind == "again") == (move.again and id(move.strand) in sewn)
        if not move.again:
            sewn.add(id(move.strand))
    assert ("ahead" in kinds) == (fields is SPINE_LAST)
    assert ("a later thread covers" in " ".join(steps)) == (fields is SPINE_LAST)


def test_a_list_stands_under_its_heading_and_names_each_circle_once() -> None:
    """A yard square with hooks of two sizes that read alike, and three threads to bring: the longest of lists."""
    plan = Plan.model_validate(
        {
            "sides_in": SideLengths(top=36, right=36, bottom=36.125, left=36),
            "border_in": SideLengths(top=5, right=5, bottom=5, left=5),
            "fill": {"kind": "leaves"},
            "cut_own": True,
            "choice": Choice(
                corner_diameter_in=3.75,
                run_diameter_in=3.0,
                meeting="little_spines",
                middles_in=Middles(top=2.2917961, right=2.2917961, bottom=2.4167961, left=2.2917961),
                counts=Counts(top=4, right=4, bottom=4, left=4),
                room_in=0.875,
            ),
            **{name: SPINE_LAST[name] for name in ("threads", "stitched_with")},
        }
    )
    layout = choose(plan).layout
    circles = next(line for line in to_bring(layout) if line.startswith("Circle templates"))
    assert circles.startswith("Circle templates: 3 3/4 in, 3 in, 15/16 in (")
    for paper in ("letter", "a4"):
        first = PdfReader(BytesIO(handout_pdf(layout, PAPERS[paper]))).pages[0].extract_text()
        assert "What to bring" in first
        assert "Circle templates" in first


@pytest.mark.parametrize("name", PAPERS)
def test_no_heading_stands_at_the_foot_of_a_page(name: str) -> None:
    """Whatever the steps before it take: a heading stays with the picture or the words that follow it."""
    for layout in (wall_hanging(), *(example(style) for style in range(len(STYLES)))):
        for page in PdfReader(BytesIO(handout_pdf(layout, PAPERS[name]))).pages:
            assert page.extract_text().splitlines()[-1].strip() not in HEADINGS
