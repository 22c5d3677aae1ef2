"""The plan: everything she typed and chose. It is what is saved and shared.

Lengths are inches. What she typed (a fraction, a metric length) is kept beside the numbers in ``typed`` so
that it comes back to her as she wrote it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from planner.kinds import FILLS

SideName = Literal["top", "right", "bottom", "left"]
SIDES: tuple[SideName, SideName, SideName, SideName] = ("top", "right", "bottom", "left")

CornerStyle = Literal["mirrored", "turning", "easy_going"]
MeetingKind = Literal["butted", "little_spines", "wreath", "lattice"]
RunKind = Literal["level", "rolling"]
FillKind = Annotated[str, FILLS]
Units = Literal["in", "mm"]

LARGEST_QUILT_IN = 240.0  # 20 ft: no machine frame or bed is wider; beyond it a figure was mistyped
LARGEST_TIN = 60  # more templates than any tin holds; bounds the search

Length = Annotated[float, Field(strict=True, gt=0, le=LARGEST_QUILT_IN, allow_inf_nan=False)]
LengthOrNone = Annotated[float, Field(strict=True, ge=0, le=LARGEST_QUILT_IN, allow_inf_nan=False)]
Colour = Annotated[str, Field(pattern=r"^#[0-9a-fA-F]{6}$")]


class Part(BaseModel):
    """Base of everything in a plan: no unknown keys, never changed in place."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class SideLengths(Part):
    """One length for each side, inches."""

    top: Length
    right: Length
    bottom: Length
    left: Length

    def of(self, side: SideName) -> float:
        return float(getattr(self, side))


def _usual(need: str) -> Callable[[dict[str, Any]], float]:
    """What a fill of its kind usually needs."""
    return lambda fill: FILLS[fill["kind"]].needs.usual[need]


class Fill(Part):
    """What fills the border, and what it needs (inches).

    room_in: clear width between a spine and an edge; longest_in: longest plume (or leaf, needle ...);
    smallest_curl_in: least radius of a curl that can be filled; smallest_feature_in: least width of a shape.
    Whatever is left out is what its kind usually needs.
    """

    kind: FillKind = "feathers"
    room_in: Length = Field(default_factory=_usual("room_in"))
    longest_in: Length = Field(default_factory=_usual("longest_in"))
    smallest_curl_in: Length = Field(default_factory=_usual("smallest_curl_in"))
    smallest_feature_in: Length = Field(default_factory=_usual("smallest_feature_in"))


class Counts(Part):
    """Curls of each side: per half side when mirrored, per side when turning or easy-going."""

    top: Annotated[int, Field(strict=True, ge=1, le=1000)]
    right: Annotated[int, Field(strict=True, ge=1, le=1000)]
    bottom: Annotated[int, Field(strict=True, ge=1, le=1000)]
    left: Annotated[int, Field(strict=True, ge=1, le=1000)]

    def of(self, side: SideName) -> int:
        return int(getattr(self, side))


class Choice(Part):
    """One proposal, named: with the plan it settles the whole layout.

    Diameters in inches. middle_in is the clear distance between the two last circles of a side (0 without a
    meeting); for a wreath it is the outside of the ring.
    """

    corner_diameter_in: Length
    run_diameter_in: Length
    meeting: MeetingKind | None = None
    middle_in: LengthOrNone = 0.0
    counts: Counts


class EaseLimits(Part):
    """How much a run may give so that it lands: rows off the guide lines, air between circles (inches)."""

    lift_in: LengthOrNone = 0.125
    gap_in: LengthOrNone = 0.125


class Look(Part):
    """Colours she chose for cloth and thread, as #rrggbb."""

    cloth: Colour = "#2f4858"
    border: Colour = "#3d5a6c"
    thread: Colour = "#f6efe0"


class Plan(Part):
    """Everything she typed and chose. Lengths in inches."""

    name: Annotated[str, Field(max_length=120)] = "My quilt"
    units: Units = "in"
    sides_in: SideLengths
    border_in: SideLengths
    binding_allowance_in: LengthOrNone = 0.25
    fill: Fill = Field(default_factory=Fill)
    tin_in: Annotated[tuple[Length, ...], Field(max_length=LARGEST_TIN)] = ()
    cut_own: Annotated[bool, Field(strict=True)] = False
    corner: CornerStyle = "mirrored"
    meeting: MeetingKind | Literal["any"] = "any"
    run: RunKind | Literal["any"] = "any"
    tail_deg: Annotated[float, Field(strict=True, ge=30, le=150, allow_inf_nan=False)] = 90.0
    ease_limits: EaseLimits = EaseLimits()
    seed: Annotated[int, Field(strict=True, ge=0, le=2**31 - 1)] = 1
    look: Look = Look()
    choice: Choice | None = None
    tags: Annotated[tuple[Annotated[str, Field(max_length=40)], ...], Field(max_length=20)] = ()
    typed: Annotated[
        dict[Annotated[str, Field(max_length=60)], Annotated[str, Field(max_length=40)]], Field(max_length=60)
    ] = {}
