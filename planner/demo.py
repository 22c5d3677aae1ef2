"""The quilt that is already there at the first start. It is invented: no such quilt was measured."""

from __future__ import annotations

from planner.plan import Choice, Counts, Plan, SideLengths


def demo_plan() -> Plan:
    """A queen-size quilt, as a tape measure finds it: sides that ought to be alike differ a little."""
    return Plan(
        name="Harbour Lights (invented)",
        sides_in=SideLengths(top=90.125, right=105.75, bottom=90.0, left=106.0),
        border_in=SideLengths(top=8.0, right=8.0, bottom=8.0, left=8.0),
        tin_in=(2.0, 2.5, 3.0, 3.25, 3.5, 3.75, 4.0, 4.5, 5.0, 6.0, 6.5, 7.0),
        choice=demo_choice(),
        typed={
            "sides_in.top": "90 1/8",
            "sides_in.right": "105 3/4",
            "sides_in.bottom": "90",
            "sides_in.left": "106",
            "border": "8",
        },
    )


def demo_choice() -> Choice:
    """The proposal that the demo quilt shows."""
    return Choice(
        corner_diameter_in=7.0,
        run_diameter_in=3.5,
        meeting="wreath",
        middle_in=2.0,
        counts=Counts(top=13, right=16, bottom=13, left=16),
    )
