"""The plan: everything she typed and chose. It is what is saved and shared.

Lengths are inches. What she typed (a fraction, a metric length) is kept beside the numbers in ``typed`` so
that it comes back to her as she wrote it.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from planner.errors import PlanError
from planner.fit import fit
from planner.kinds import (
    BACKGROUNDS,
    CORNER_MOTIFS,
    CORNER_STYLES,
    FILLS,
    MEETINGS,
    SCATTERED,
    Density,
    OneOf,
)
from planner.threads import (
    MOST_CARRY_IN,
    MOST_THREADS,
    PART_WORDS,
    Accents,
    Colour,
    PartName,
    SpineWhen,
    Thread,
    Travels,
    Working,
)

SideName = Literal["top", "right", "bottom", "left"]
SIDES: tuple[SideName, SideName, SideName, SideName] = ("top", "right", "bottom", "left")

CornerStyle = Annotated[str, OneOf(CORNER_STYLES)]
MeetingKind = Annotated[str, OneOf(MEETINGS)]
RunKind = Literal["level", "rolling"]
FillKind = Annotated[str, OneOf(FILLS)]
Units = Literal["in", "cm", "mm"]  # what a bare number means, and what every length is said in

LARGEST_QUILT_IN = 240.0  # 20 ft: no machine frame or bed is wider; beyond it a figure was mistyped
MOST_DRIFTS = 24  # of one quilt: who stands off oftener measures anew
LARGEST_TIN = 60  # more templates than any tin holds; bounds the search

Length = Annotated[float, Field(strict=True, gt=0, le=LARGEST_QUILT_IN, allow_inf_nan=False)]
LengthOrNone = Annotated[float, Field(strict=True, ge=0, le=LARGEST_QUILT_IN, allow_inf_nan=False)]
Words = Annotated[
    str, BeforeValidator(fit)
]  # she writes them: they go into pages, drawings, sheets and files


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
        """The length of one side, inches."""
        return float(getattr(self, side))


class Fill(Part):
    """What fills the border, and what it needs (inches).

    room_in: clear width between a spine and an edge; longest_in: longest plume (or leaf, needle ...);
    smallest_curl_in: least radius of a curl that can be filled; smallest_feature_in: least width of a shape.
    A need left out may be anything in the range of its kind; one that is given is fixed. density: which part of
    that range the room is taken from; the other needs follow the room.
    """

    kind: FillKind = "feathers"
    density: Density = "usual"
    room_in: Length | None = None
    longest_in: Length | None = None
    smallest_curl_in: Length | None = None
    smallest_feature_in: Length | None = None


class Counts(Part):
    """Curls of each side: per half side when mirrored, per side when turning or easy-going."""

    top: Annotated[int, Field(strict=True, ge=1, le=1000)]
    right: Annotated[int, Field(strict=True, ge=1, le=1000)]
    bottom: Annotated[int, Field(strict=True, ge=1, le=1000)]
    left: Annotated[int, Field(strict=True, ge=1, le=1000)]

    def of(self, side: SideName) -> int:
        """The curls of one side."""
        return int(getattr(self, side))


class Middles(Part):
    """The middle of each side, inches: clear between the two last circles, or across the outside of a ring."""

    top: LengthOrNone
    right: LengthOrNone
    bottom: LengthOrNone
    left: LengthOrNone

    def of(self, side: SideName) -> float:
        """The middle of one side, inches."""
        return float(getattr(self, side))


class Drift(Part):
    """Where she stood off her place: at a curl of a side, counted from its corner, too far along by so many inches.

    Below nought: not far enough. The rest of the run is spread anew from there. from_far_end: counted, and chalked,
    from the other end of a side along which one run goes.
    """

    side: SideName
    curl: Annotated[int, Field(strict=True, ge=1, le=1000)]
    by_in: Annotated[float, Field(strict=True, ge=-12, le=12, allow_inf_nan=False)]
    from_far_end: Annotated[bool, Field(strict=True)] = False


class Choice(Part):
    """One proposal, named: with the plan it settles the whole layout.

    Diameters in inches; no corner_diameter_in where a run circle stands in each corner. middle_in is the clear
    distance between the two last circles of a side (0 without a meeting), for a wreath the outside of the ring;
    where the sides differ, middles_in has the one of each.
    room_in: the least room of the four sides; strip_in: what the seam strip takes of the narrowest border.
    drifts: where she stood off while she chalked, in the order she reported it; the rest is spread anew.
    Without a room (a choice from before it was a range) every side has a band of its own, as high as the fill's
    room leaves it.
    """

    corner_diameter_in: Length | None
    run_diameter_in: Length
    meeting: MeetingKind | None = None
    middle_in: LengthOrNone = 0.0
    middles_in: Middles | None = None
    counts: Counts
    room_in: Length | None = None
    strip_in: LengthOrNone = 0.0
    drifts: Annotated[tuple[Drift, ...], Field(max_length=MOST_DRIFTS)] = ()

    def middle_of(self, side: SideName) -> float:
        """The middle of one side, inches."""
        return self.middles_in.of(side) if self.middles_in else self.middle_in

    @property
    def averaged(self) -> Choice:
        """The same with the mean middle on opposite sides, as a quilt of mean lengths is drawn."""
        own = self.middles_in
        if own is None:
            return self
        across, down = (own.top + own.bottom) / 2, (own.left + own.right) / 2
        return self.model_copy(
            update={"middles_in": Middles(top=across, bottom=across, left=down, right=down)}
        )

    @property
    def corner_radius(self) -> float:
        """Radius of the circle in each corner, inches: the run circle's, where no larger one stands there."""
        return (self.corner_diameter_in or self.run_diameter_in) / 2


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
    """Everything she typed and chose. Lengths in inches.

    threads: in the order she stitches them; none stands for one thread of the look's colour. stitched_with: of each
    part the number of its thread, from 0; a part left out takes the first. accents: which of them take their own.
    carry_in: over how much bare cloth the thread is carried and clipped later, instead of a stop and a new start.
    spine: None for whichever is shorter.
    answers: what she said on what it takes (supplies), as she wrote it, by the name of the figure.
    centre_apart_in: how far apart the lines are that the quilt's centre is quilted with.
    """

    name: Annotated[Words, Field(max_length=120)] = "My quilt"
    units: Units = "in"
    sides_in: SideLengths
    border_in: SideLengths
    binding_allowance_in: LengthOrNone = 0.25
    fill: Fill = Field(default_factory=Fill)
    tin_in: Annotated[tuple[Length, ...], Field(max_length=LARGEST_TIN)] = ()
    cut_own: Annotated[bool, Field(strict=True)] = False
    corner: CornerStyle = "mirrored"
    corner_motif: Annotated[str, OneOf(CORNER_MOTIFS)] = "own"
    background: Annotated[str, OneOf(BACKGROUNDS)] = "none"
    scattered: Annotated[str, OneOf(SCATTERED)] = "none"
    meeting: Annotated[str, OneOf(MEETINGS, "any")] = "any"
    run: RunKind | Literal["any"] = "any"
    strip_spacing_in: Length = 0.5
    centre_apart_in: Length | None = None
    tail_deg: Annotated[float, Field(strict=True, ge=30, le=150, allow_inf_nan=False)] = 90.0
    ease_limits: EaseLimits = EaseLimits()
    seed: Annotated[int, Field(strict=True, ge=0, le=2**31 - 1)] = 1
    threads: Annotated[tuple[Thread, ...], Field(max_length=MOST_THREADS)] = ()
    stitched_with: dict[PartName, Annotated[int, Field(strict=True, ge=0, lt=MOST_THREADS)]] = {}
    accents: Accents = "all"
    travels: Travels = "own_lines"
    carry_in: Annotated[float, Field(strict=True, ge=0, le=MOST_CARRY_IN, allow_inf_nan=False)] = 0.0
    spine: SpineWhen | None = None
    working: Working = Working()
    look: Look = Look()
    choice: Choice | None = None
    tags: Annotated[tuple[Annotated[Words, Field(max_length=40)], ...], Field(max_length=20)] = ()
    answers: Annotated[
        dict[Annotated[Words, Field(max_length=24)], Annotated[Words, Field(max_length=40)]],
        Field(max_length=60),
    ] = {}
    typed: Annotated[
        dict[Annotated[Words, Field(max_length=60)], Annotated[Words, Field(max_length=400)]],
        Field(max_length=60),
    ] = {}

    @property
    def every_thread(self) -> tuple[Thread, ...]:
        """Her threads in order; where she described none, one of the look's colour."""
        return self.threads or (Thread(colours=(self.look.thread,)),)

    @model_validator(mode="after")
    def _every_part_has_its_thread(self) -> Plan:
        most = max(1, len(self.threads))
        for part, thread in self.stitched_with.items():
            if thread >= most:
                there = "there is only one" if most == 1 else f"there are {most}, numbered from 0"
                raise PlanError(
                    f"Thread {thread} is to stitch the {PART_WORDS[part]}, but {there}.",
                    field=f"stitched_with.{part}",
                    cure="Give 0, or one thread more." if most == 1 else f"Give 0 to {most - 1}.",
                )
        return self
