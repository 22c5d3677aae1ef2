"""Words of the trade and of ours, two lines and a drawing each: at a tap where they stand, and on a page alone."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from planner.pictures.words import DRAWINGS
from server.html import render, templates

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Word:
    """A word, what it means, and its drawing."""

    name: str
    means: str
    drawing: str


MEANS = {
    "guide": (
        "Guide line",
        "One of two chalk lines along the border. The curls lie between them; they are brushed "
        "off when the quilting is done.",
    ),
    "room": (
        "Room",
        "The clear width between a guide line and the edge. The fill's shapes end there: more "
        "room, longer shapes.",
    ),
    "curl": (
        "Curl",
        "One C of the spine. It follows a circle from the curl before, leads on to the next one, "
        "and curls back.",
    ),
    "tail": (
        "Tail and tip",
        "Where the spine has gone on to the next curl, the tail goes on round its circle and ends in a tip.",
    ),
    "run": (
        "Run",
        "The curls from a corner to the middle of a side. It lands when it comes out exactly there.",
    ),
    "circles": (
        "Corner circle, run circle",
        "The large circle that stands in every corner, and the small one that all curls of the "
        "runs are chalked round.",
    ),
    "level": (
        "Level",
        "A run whose circles sit in one line: calm, for narrow borders.",
    ),
    "rolling": (
        "Rolling",
        "A run whose circles stand by turns at one guide line and at the other: for wide borders.",
    ),
    "lift": (
        "Lift",
        "How far the rows stand off the guide lines so that a run lands. Nobody sees it.",
    ),
    "gap": (
        "Gap",
        "Air between neighbouring circles so that a run lands. Touching circles have none, and look best.",
    ),
    "meeting": (
        "Middle of a side",
        "What fills the place where two runs meet: the last two curls touch, or a circle, a "
        "wreath, little spines or cross-hatching stand between them.",
    ),
    "reach": (
        "Reach",
        "The farthest that any point of the border lies from a spine: the longest shape you will "
        "have to stitch.",
    ),
    "strip": (
        "Seam strip",
        "Straight lines along the inner seam. They take what a wide border has beyond the curls.",
    ),
    "tin": (
        "Tin",
        "The circle templates you own: rings, lids, cut templates. Their diameters decide what can land.",
    ),
    "binding": (
        "Binding",
        "What the binding covers of the border's edge. Nothing is quilted there.",
    ),
    "miter": (
        "Miter",
        "The line from the raw corner to the corner of the seam. The corner circle stands on it.",
    ),
}
EXPLAINED = {key: Word(*MEANS[key], Markup(draw())) for key, draw in DRAWINGS.items()}
templates.globals["explained"] = EXPLAINED


@router.get("/words")
def words_page() -> HTMLResponse:
    """Every word, one after another."""
    return render("words.html", words=EXPLAINED)
