"""The stamp: six signs that stand for one layout, on everything that is made from it. Same stamp, same drawing.

It is a hash of all that decides the drawing. What a plan will hold one day counts by itself, as soon as it is not
at its default; only what is listed here does not.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from hashlib import sha256
from typing import Any

from planner.plan import Choice, Plan

DRAWING = 12  # the form of the program's drawing: raised when the same plan is drawn otherwise than before
SIGNS = "34679CDFHJKMNPQRTWXY"  # none that is taken for another, and no vowels: no words come of it
LENGTH = 6  # 64 million stamps: two of her layouts hardly ever share one

# Its name and wording; how she reads and looks at it; her threads (which of them stitches what counts); what
# she had to choose from (her choice stands beside it).
NOT_COUNTED: Any = {
    **dict.fromkeys(
        ("name", "units", "look", "tags", "typed", "answers", "centre_apart_in", "threads"), True
    ),
    **dict.fromkeys(("tin_in", "cut_own", "meeting", "run", "choice"), True),
    "ease_limits": {"gap_in"},
}


def note_of(stamp: str) -> str:
    """The stamp where a file says of itself what it is."""
    return f"Cornerwise stamp {stamp}"


def svg_metadata(stamp: str) -> str:
    """The same as an SVG's own metadata (SVG 2, 5.10)."""
    return f"<metadata>{note_of(stamp)}</metadata>"


def stamp_of(plan: Plan, choice: Choice, sizes: Sequence[float] = ()) -> str:
    """The stamp of a choice. sizes: the diameters of circles that are none of those it names, in order (inches)."""
    counted = plan.model_dump(mode="json", exclude=NOT_COUNTED, exclude_defaults=True)
    decides = {
        "drawing": DRAWING,
        "plan": {name: value for name, value in counted.items() if value != {}},
        "choice": choice.model_dump(mode="json", exclude_defaults=True),
        "sizes": [round(size, 6) for size in sizes],
    }
    number = int.from_bytes(sha256(json.dumps(decides, sort_keys=True).encode()).digest()[:8], "big")
    signs = []
    for _ in range(LENGTH):
        number, sign = divmod(number, len(SIGNS))
        signs.append(SIGNS[sign])
    return "".join(signs)
