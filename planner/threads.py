"""Threads: what she stitches with, one after another, and which part of the drawing each of them stitches.

Also how she works: the quilt turned freely, border by border, or on a frame. Lengths are inches.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from planner.errors import PlanError
from planner.fit import fit

PartName = Literal[
    "spine",
    "tips",
    "main",
    "stems",
    "flowers",
    "eyes",
    "accents",
    "cones",
    "teardrops",
    "background",
    "middle",
    "corners",
]
"""The parts of the drawing. tips, middle and corners name a place; what stands there goes with its own part
unless she says otherwise. So do cones: with the other accents."""

Travels = Literal["own_lines", "lines_covered_later"]
SpineWhen = Literal["first", "on_the_way"]
Accents = Literal["all", "where_led", "grouped"]
"""Which accents are stitched in the accents' own thread: all; those that a line of the same thread leads to; those
that lie in groups. The others go with the main shapes."""
Way = Literal["whole_quilt", "border_by_border", "frame"]
ThreadsBy = Literal["strip", "thread"]

MOST_THREADS = 6
MOST_COLOURS = 6
MOST_CARRY_IN = 0.5  # a longer float catches on foot and finger (common practice, no source)

COLOUR = r"^#[0-9a-fA-F]{6}$"
"""How a colour is written: red, green and blue, 00 to ff each."""

Colour = Annotated[str, Field(pattern=COLOUR)]
ThreadLength = Annotated[float, Field(strict=True, gt=0, le=2400, allow_inf_nan=False)]


class _Chosen(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Thread(_Chosen):
    """One thread. colours: one, or those of a variegated spool in turn; repeat_in: the length of thread after which
    a variegated one begins again; spool: what is written on it."""

    name: Annotated[str, BeforeValidator(fit), Field(max_length=40)] = ""
    colours: Annotated[tuple[Colour, ...], Field(min_length=1, max_length=MOST_COLOURS)]
    repeat_in: ThreadLength | None = None
    spool: Annotated[str, BeforeValidator(fit), Field(max_length=60)] = ""

    @model_validator(mode="after")
    def _repeats_where_it_changes(self) -> Thread:
        if len(self.colours) > 1 and self.repeat_in is None:
            raise PlanError(
                "A thread of several colours needs its repeat.",
                field="repeat_in",
                cure="Pull out thread until the first colour comes again and measure it, often 5 in (12 cm).",
            )
        return self


class Working(_Chosen):
    """How the quilt lies. reach_in: how deep the frame lets her stitch before the quilt is advanced; needle_down:
    whether the needle stays down while it advances, so that a line goes on. threads_by: whether all threads are
    stitched in one strip before the quilt is moved on, or one thread through all strips before the next."""

    way: Way = "whole_quilt"
    reach_in: Annotated[float, Field(strict=True, gt=0, le=240, allow_inf_nan=False)] | None = None
    needle_down: Annotated[bool, Field(strict=True)] = False
    threads_by: ThreadsBy = "strip"

    @model_validator(mode="after")
    def _a_frame_has_a_reach(self) -> Working:
        if self.way == "frame" and self.reach_in is None:
            raise PlanError(
                "A frame needs its reach.",
                field="reach_in",
                cure="Measure from the front bar to where the needle still comes.",
            )
        return self


# Each part as she calls it.
PART_WORDS: Mapping[PartName, str] = {
    "spine": "spine",
    "tips": "tips of the curls",
    "main": "main shapes",
    "stems": "stems and veins",
    "flowers": "flowers",
    "eyes": "eyes of the flowers",
    "accents": "berries",
    "cones": "cones",
    "teardrops": "teardrops",
    "background": "background, seam strip",
    "middle": "middles of the sides",
    "corners": "corners",
}
PLACES: tuple[PartName, ...] = (
    "tips",
    "middle",
    "corners",
)  # what stands there keeps its own thread unless said

ACCENTS: tuple[PartName, ...] = ("accents", "cones")
# A part that goes with another unless she gives it a thread: cones were one with berries once.
GOES_WITH: Mapping[PartName, PartName] = {"cones": "accents"}

# What stitches a shape, by its kind. A kind that stands nowhere here is a main shape.
PARTS: Mapping[str, PartName] = {
    "spine": "spine",
    "stem": "stems",
    "vein": "stems",
    "tendril": "stems",
    "flower": "flowers",
    "eye": "eyes",
    "berry": "accents",
    "cone": "cones",
    "teardrop": "teardrops",
    "pebble": "background",
    "echo_line": "background",
    "meander": "background",
    "strip": "background",
}


def part_of(kind: str, *, place: PartName | None, stitched_with: Mapping[PartName, int]) -> PartName:
    """The part that a shape belongs to: that of its place where she gave that a thread, else that of its kind.

    A part without a thread of its own may go with another.
    """
    if place is not None and place in stitched_with:
        return place
    part = PARTS.get(kind, "main")
    return part if part in stitched_with else GOES_WITH.get(part, part)


@dataclass(frozen=True, slots=True)
class StartingPoint:
    """Threads to begin from, in one tap. name, why: in her words; stitched_with: as in a plan; fills: those that it
    is made for, none for all that have its parts."""

    key: str
    name: str
    why: str
    threads: tuple[Thread, ...]
    stitched_with: Mapping[PartName, int]
    travels: Travels = "own_lines"
    fills: tuple[str, ...] = ()


def _thread(name: str, *colours: str) -> Thread:
    return Thread(name=name, colours=colours, repeat_in=_REPEAT_IN if len(colours) > 1 else None)


_REPEAT_IN = 5.0  # common on a variegated spool (common practice, no source)

STARTING_POINTS: tuple[StartingPoint, ...] = (
    StartingPoint(
        "tone_on_tone",
        "tone on tone",
        "One thread a shade off the cloth: what shows is the relief.",
        (_thread("ivory", "#e9e0cb"),),
        {},
    ),
    StartingPoint(
        "variegated",
        "one variegated",
        "One thread does the colouring: never a change, and no start more.",
        (_thread("leaf greens", "#1f5a3a", "#4f8a4b", "#9bb95f", "#2f6f5e"),),
        {},
    ),
    StartingPoint(
        "bark_and_leaf",
        "leaves first, brown spine on top",
        "The leaves travel where the spine will cover them: two threads, hardly a start more.",
        (_thread("green", "#2f6b43"), _thread("brown", "#6a4a34")),
        {"spine": 1},
        "lines_covered_later",
    ),
    StartingPoint(
        "red_berries",
        "green with red berries",
        "The classic of winter quilts; each berry that stands alone is a start of its own.",
        (_thread("green", "#2a6b3a"), _thread("red", "#a3202c")),
        {"accents": 1},
    ),
    StartingPoint(
        "brown_cones",
        "variegated needles, brown cones, red berries",
        "Cones are few and large, and berries hang together: each cone, and each two or three berries, is a start.",
        (
            _thread("forest greens", "#244f39", "#3f7350", "#7d9a6a"),
            _thread("brown", "#74502f"),
            _thread("red", "#a3202c"),
        ),
        {"cones": 1, "stems": 1, "accents": 2},
        fills=("needles",),
    ),
    StartingPoint(
        "cones_and_berries",
        "green with brown cones and red berries",
        "Cones are few, each of them a start; their stems stay green.",
        (_thread("green", "#2f6b43"), _thread("brown", "#74502f"), _thread("red", "#a3202c")),
        {"cones": 1, "accents": 2},
    ),
    StartingPoint(
        "blooms",
        "green with rose blooms",
        "Rose petals and golden eyes: two starts for every flower, and berries stay green.",
        (_thread("green", "#3b7346"), _thread("rose", "#c2577b"), _thread("gold", "#d9a52e")),
        {"flowers": 1, "eyes": 2},
    ),
    StartingPoint(
        "garden",
        "flowers in three colours",
        "Green leaves, rose petals and golden eyes: two starts for every flower.",
        (_thread("green", "#3b7346"), _thread("rose", "#c2577b"), _thread("gold", "#d9a52e")),
        {"flowers": 1, "eyes": 2, "accents": 1},
    ),
)


def parts_there(drawn: Iterable[PartName]) -> set[PartName]:
    """The parts that a border may have. drawn: what its fill draws, beside spine, background and places."""
    return {"spine", *drawn, "background", *PLACES}


def reordered(
    stitched_with: Mapping[PartName, int], order: Sequence[int], drawn: Iterable[PartName]
) -> dict[PartName, int]:
    """What stitches each part when the threads are put in another order: the thread it had.

    order: the number that each thread had; drawn: as of ``parts_there``. What was given none took the first thread,
    and is now given it by its number.
    """
    own = {GOES_WITH.get(part, part) for part in parts_there(drawn) if part not in PLACES}
    had = {part: 0 for part in PART_WORDS if part in own} | dict(stitched_with)
    now = {part: order.index(thread) for part, thread in had.items()}
    return {part: n for part, n in now.items() if n or part in (*PLACES, *GOES_WITH)}


def starting_points(fill: str, drawn: Iterable[PartName]) -> tuple[StartingPoint, ...]:
    """Those for a fill whose parts are all there, and that leave none to go with another: red berries would make
    cones red."""
    there = parts_there(drawn)
    led = {part: host for part, host in GOES_WITH.items() if part in there}
    return tuple(
        one
        for one in STARTING_POINTS
        if (not one.fills or fill in one.fills)
        and set(one.stitched_with) <= there
        and all(part in one.stitched_with or host not in one.stitched_with for part, host in led.items())
    )
