"""A small drawing for each word that is explained: a piece of border, what the word means in red.

The curls are real ones: circles on rows, the spine through them. Colours are the page's. All in inches.
"""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from planner.border.spine import Circle, curls
from planner.geometry.curves import Arc, Curve, Line
from planner.geometry.svg import number, svg_path

WIDTH, ROOM, LONG = 6.0, 1.0, 15.0  # of the border drawn: raw edge to seam, edge to guide line, along
HEIGHT = WIDTH - 2 * ROOM
RADIUS, CORNER = 1.15, 2.1
BELOW = WIDTH + 0.8  # what shows of the left border
STILL = 'vector-effect="non-scaling-stroke"'
OPEN = f'<svg class="explained" viewBox="-.3 -.3 {LONG + 0.3} {BELOW + 0.3}" fill="none" aria-hidden="true">'


def _row(r: float = RADIUS, lift: float = 0.0, gap: float = 0.0, many: int = 4) -> list[Circle]:
    """A corner circle and the run after it, from the raw corner (x along, y from the raw edge)."""
    x, rise = ROOM + CORNER, HEIGHT - 2 * r - 2 * lift
    found = [Circle((x, ROOM + CORNER), CORNER, "corner", 1)]
    for i in range(many):
        y = ROOM + (r + lift if i % 2 else HEIGHT - r - lift)
        both, down = (CORNER + r + gap, y - ROOM - CORNER) if i == 0 else (2 * r + gap, rise)
        x += sqrt(both * both - down * down)
        found.append(Circle((x, y), r, "outer" if i % 2 else "inner", 1 if i % 2 else -1))
    return found


def _spine(row: list[Circle], curl: int | None = None, parts: tuple[str, ...] = ()) -> list[Curve]:
    pieces = curls(row[0], row[1:], None, 90.0)
    return [p.curve for p in pieces if (curl is None or p.curl == curl) and (not parts or p.part in parts)]


def _scene(red: str = "", row: list[Circle] | None = None, *, circles: bool = False) -> str:
    """The border with its spine, and over it what is meant."""
    row = row or _row()
    rings = "".join(_ring(c) for c in row) if circles else ""
    spine = svg_path([Arc(row[0].centre, CORNER, 1.6, 4.2), *_spine(row)])
    guides = svg_path(Line((ROOM, y), (LONG, y)) for y in (ROOM, ROOM + HEIGHT))
    return (
        f'{OPEN}<path class="edges" {STILL} d="M0 {BELOW}V0H{LONG}M{WIDTH} {BELOW}V{WIDTH}H{LONG}"/>'
        f'<path class="guides" {STILL} d="{guides}"/>{rings}<path class="curls" {STILL} d="{spine}"/>{red}</svg>'
    )


def _ring(circle: Circle, kind: str = "rings") -> str:
    (x, y), r = circle.centre, circle.radius
    return f'<circle class="{kind}" {STILL} cx="{number(x)}" cy="{number(y)}" r="{number(r)}"/>'


def _red(*curves: Curve) -> str:
    return f'<path class="now" {STILL} d="{svg_path(curves)}"/>'


def _between(one: tuple[float, float], other: tuple[float, float]) -> str:
    """A distance: a line with a bar at either end."""
    across = one[1] == other[1]
    dx, dy = (0.0, 0.3) if across else (0.3, 0.0)
    bars = [Line((x - dx, y - dy), (x + dx, y + dy)) for x, y in (one, other)]
    return _red(Line(one, other), *bars)


def _lift() -> str:
    row = _row(lift=0.35)
    (x, y), r = row[2].centre, row[2].radius
    return _scene(_between((x, ROOM), (x, y - r)), row, circles=True)


def _gap() -> str:
    row = _row(r=1.05, gap=0.5)
    (x, y), (u, v) = row[2].centre, row[3].centre
    share = row[2].radius / (2 * row[2].radius + 0.5)
    one, other = ((x + (u - x) * part, y + (v - y) * part) for part in (share, 1 - share))
    return _scene(_red(Line(one, other)), row, circles=True)


def _tip() -> str:
    row = _row()
    x, y = _spine(row, 1, ("tail",))[0].end
    tip = f'<circle class="here" {STILL} cx="{number(x)}" cy="{number(y)}" r=".25"/>'
    return _scene(_red(*_spine(row, 1, ("tail",))) + tip, row)


def _tin() -> str:
    sizes, x, red = (0.9, 1.3, 1.8, 2.4), 0.6, ""
    for r in sizes:
        red += _ring(Circle((x + r, WIDTH - r), r, "inner", 1), "now")
        x += 2 * r + 0.4
    return f"{OPEN}{red}</svg>"


def _strip() -> str:
    lines = [Line((WIDTH, WIDTH - 0.3 * i), (LONG, WIDTH - 0.3 * i)) for i in range(1, 4)]
    return _scene(_red(*lines))


def _middle() -> str:
    x = LONG - 0.4
    return _scene(_red(Line((x, 0.0), (x, WIDTH))))


def _reach() -> str:
    row = _row()
    (x, y), r = row[2].centre, row[2].radius
    return _scene(_red(Line((x, y + r), (x, WIDTH))), row)


DRAWINGS: dict[str, Callable[[], str]] = {
    "guide": lambda: _scene(_red(*(Line((ROOM, y), (LONG, y)) for y in (ROOM, ROOM + HEIGHT)))),
    "room": lambda: _scene(_between((9.0, 0.0), (9.0, ROOM)) + _between((9.0, WIDTH - ROOM), (9.0, WIDTH))),
    "curl": lambda: _scene(_red(*_spine(_row(), 1))),
    "tail": _tip,
    "run": lambda: _scene(_red(*_spine(_row()))),
    "circles": lambda: _scene(_ring(_row()[0], "now") + _ring(_row()[2], "now")),
    "level": lambda: _scene("", _row(r=1.95, many=3), circles=True),
    "rolling": lambda: _scene("", circles=True),
    "lift": _lift,
    "gap": _gap,
    "meeting": _middle,
    "reach": _reach,
    "strip": _strip,
    "tin": _tin,
    "binding": lambda: _scene(_red(Line((0.25, 0.25), (LONG, 0.25)), Line((0.25, 0.25), (0.25, WIDTH)))),
    "miter": lambda: _scene(_red(Line((0.0, 0.0), (WIDTH, WIDTH)))),
}
