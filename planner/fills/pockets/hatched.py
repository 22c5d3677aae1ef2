"""A corner's large circle, cross-hatched: an arc closes its mouth, two families of arcs cross within it. Inches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import acos, atan2, copysign, cos, pi, radians, sin

from planner.fills.pockets.lattice import HATCH
from planner.fills.shape import Shape
from planner.geometry.curves import Arc


@dataclass(frozen=True, slots=True)
class _Hatching:
    """How the arcs lie: the best of several tried, no source."""

    far: float = (
        1.7  # Of the circle's radius, from its middle to that of the arcs: gently curved, plainly no grid.
    )
    aside_deg: float = 48.0  # Of the miter, to either side: the meshes are nearly square.
    step: float = 0.36  # Of the room, from arc to arc: as close as what lies round the circle ...
    least_step_in: float = 0.25  # ... but no less: closer meshes look like a sieve.


_HATCHING = _Hatching()


def hatched_thread(radius: float, room: float) -> float:
    """Inches stitched in a circle: two families of arcs a step apart, the needle going along the circle between."""
    return 2 * pi * radius**2 / _step(room) + 2 * pi * radius


def _step(room: float) -> float:
    return max(_HATCHING.step * room, _HATCHING.least_step_in)


def mouth_of(arc: Arc) -> Arc:
    """What closes a corner's C: the rest of its circle, from where the C begins to where it ends."""
    return Arc(arc.centre, arc.radius, arc.begin, arc.sweep - copysign(2 * pi, arc.sweep))


def hatch(mouth: Arc, room: float) -> Iterator[Shape]:
    """The lines in the circle that a mouth closes, the mouth first. They are drawn alike on both sides of it."""
    yield Shape(HATCH, None, (mouth,))
    (x, y), radius = mouth.centre, mouth.radius
    u, v = mouth.point(0.5)
    miter, far = atan2(v - y, u - x), _HATCHING.far * radius
    count = max(2, round(2 * radius / _step(room)))
    for aside in (-radians(_HATCHING.aside_deg), radians(_HATCHING.aside_deg)):
        centre = (x + far * cos(miter + aside), y + far * sin(miter + aside))
        for n in range(1, count):
            reach = far - radius + 2 * radius * n / count
            half = acos((far**2 + reach**2 - radius**2) / (2 * far * reach))
            yield Shape(HATCH, None, (Arc(centre, reach, miter + aside + pi - half, 2 * half),))
