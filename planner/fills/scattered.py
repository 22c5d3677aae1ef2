"""What stands every here and there among the shapes of a fill: a cone, a flower. One record each.

It takes the place of the fill's own motif at the tip of some curls, two in five, and in the circles of corners and
rings. Runs mirror each other, so that a side stays a composition.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from random import Random

from planner.fills.growing.style import Motif, Needs, Style
from planner.fills.pocket import Pocket
from planner.fills.record import FillRecord
from planner.fills.styles import FILLS
from planner.fills.styles.cones import cone_on_a_stem, heart_cone
from planner.fills.styles.flowers import flower_in_the_curl, heart_flower
from planner.geometry.curves import Arc, Point
from planner.kinds import by_kind
from planner.plan import Plan
from planner.threads import PartName

# Of so many curls in a row, those that have it: now every second, now every third, as a hand strews them.
_IN_A_ROW, _WITH_IT = 5, (0, 2)


@dataclass(frozen=True, slots=True)
class Scattered:
    """One thing to scatter.

    kind: its word in a plan; listed: its name where it is chosen; spoken: what is said of a border that has it,
    after the name of the fill ("leaves, flowers here and there"); by_hand: how it is stitched, for the hand-out
    (common practice, no source). tip, heart: what grows on a tail or reaches into a circle, in place of the fill's
    own where it finds room; bears: on which of its shapes others may hang, whatever the fill shuns. parts: what of
    it may have a thread of its own; shapes: what the needle is said to stitch.
    """

    kind: str
    listed: str
    spoken: str = ""
    by_hand: str = ""
    tip: Callable[[Arc, Needs], Motif | None] | None = None
    heart: Callable[[Point, Point, Needs], Motif | None] | None = None
    bears: frozenset[str] = frozenset()
    parts: tuple[PartName, ...] = ()
    shapes: Mapping[str, str] = field(default_factory=dict)

    def among(self, style: Style) -> Style:
        """A fill's style where this stands in place of its own motifs."""
        tip, heart = self.tip, self.heart
        if not tip or not heart:
            return style
        return replace(
            style,
            tip=lambda tail, needs: tip(tail, needs) or style.tip(tail, needs),
            heart=lambda base, centre, needs: heart(base, centre, needs) or style.heart(base, centre, needs),
            bent=replace(style.bent, shuns=style.bent.shuns - self.bears),
        )


NONE = Scattered(kind="none", listed="nothing else")
CONES = Scattered(
    kind="cones",
    listed="cones",
    spoken="cones here and there",
    by_hand="Each cone: its outline first, then its scales, row by row.",
    tip=cone_on_a_stem,
    heart=heart_cone,
    parts=("stems", "accents", "cones"),
)
FLOWERS = Scattered(
    kind="flowers",
    listed="flowers",
    spoken="flowers here and there",
    by_hand="Each flower: out along its stem, round its petals, home on the stem.",
    tip=flower_in_the_curl,
    heart=heart_flower,
    bears=frozenset(("stem",)),
    parts=("stems", "flowers", "eyes"),
    shapes={"eye": "an eye"},
)
SCATTERED = by_kind(NONE, CONES, FLOWERS)


def scattered_in(fill: FillRecord, kind: str) -> Scattered:
    """What stands among a fill where a kind was asked for: nothing among lines, or where every curl has it."""
    found, style = SCATTERED.get(kind, NONE), fill.style
    return found if isinstance(style, Style) and style.tip is not found.tip else NONE


def scattered_of(plan: Plan) -> Scattered:
    """What stands among a plan's fill."""
    return scattered_in(FILLS[plan.fill.kind], plan.scattered)


def parts_of(fill: FillRecord, kind: str) -> tuple[PartName, ...]:
    """What may have a thread of its own of a fill, and of what was asked for among it."""
    return tuple(dict.fromkeys((*fill.parts, *scattered_in(fill, kind).parts)))


def stands_in(pocket: Pocket, seed: int) -> bool:
    """Whether it stands in a pocket."""
    if pocket.run is None:
        return True
    first = Random(f"{seed} scattered").randrange(_IN_A_ROW)
    return (pocket.curl + first) % _IN_A_ROW in _WITH_IT
