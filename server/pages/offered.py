"""What the form lets her choose from, and what each is called there: one answer for the form and for whatever says
what was chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.fills.backgrounds import BACKGROUNDS
from planner.fills.corner_motifs import CORNER_MOTIFS
from planner.fills.scattered import SCATTERED
from planner.fills.styles import FILLS


@dataclass(frozen=True)
class Offered:
    """A field with a list to choose from. words: what the form calls each of its texts."""

    label: str
    words: dict[str, str]


def offered() -> dict[str, Offered]:
    """Every such field by its name, but for those of single threads."""
    return {
        "units": Offered("Numbers are", {"in": "inches", "cm": "centimetres", "mm": "millimetres"}),
        "fill.kind": Offered("Fill", _listed(FILLS)),
        "fill.density": Offered(
            "Quilting", {"closer": "closer", "usual": "as is common", "opener": "opener"}
        ),
        "background": Offered("Behind the fill", _listed(BACKGROUNDS)),
        "scattered": Offered("Every here and there", _listed(SCATTERED)),
        "corner_motif": Offered("In the large circles", _listed(CORNER_MOTIFS)),
        "corner": Offered("Corners", _listed(CORNER_STYLES)),
        "meeting": Offered("Middle of a side", {"any": "any", **_listed(MEETINGS)}),
        "run": Offered("Curls", {"any": "either", "level": "level", "rolling": "rolling"}),
        "accents": Offered(
            "Berries and cones take their thread",
            {
                "": "all of them",
                "where_led": "where a line leads to them",
                "grouped": "in groups of three or more",
            },
        ),
        "spine": Offered(
            "Spines are stitched",
            {
                "": "whichever is shorter",
                "first": "first, then the fill",
                "on_the_way": "as the fill comes to them",
            },
        ),
        "working.way": Offered(
            "The quilt lies",
            {"": "free to turn, whole", "border_by_border": "one border at a time", "frame": "on a frame"},
        ),
    }


class _Listed(Protocol):
    """What a form offers of a kind."""

    @property
    def kind(self) -> str: ...

    @property
    def listed(self) -> str: ...


def _listed(family: Mapping[str, _Listed]) -> dict[str, str]:
    return {one.kind: one.listed for one in family.values()}
