"""``python3 -m server.demo``: draws the demo quilt for the README again."""

from __future__ import annotations

from planner.demo import demo_plan
from server.bootstrap import ROOT
from server.pages.forms import values_of
from server.pages.workbench_view import picture_alone

PICTURES = {"demo-run.svg": True, "demo-whole.svg": False}


def drawn() -> dict[str, str]:
    """File name in static/ -> the picture that belongs there."""
    values = values_of(demo_plan())
    return {name: picture_alone(values, run) for name, run in PICTURES.items()}


if __name__ == "__main__":
    for name, svg in drawn().items():
        (ROOT / "static" / name).write_text(svg, "utf-8")
