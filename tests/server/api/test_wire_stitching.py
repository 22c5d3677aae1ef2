"""The fill on the wire is what the needle follows: drawn again from the answer alone, by another reader of SVG."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest
from svgpathtools import parse_path

from planner.fills import fill as filled
from planner.plan import Fill
from planner.solver import Chosen
from planner.stitching.order import path_of
from server.api.wire_layout import placed_out
from server.api.wire_stitching import stitched_out
from tests.planner.landed import example

SAID_IN = 1e-4  # the wire gives four decimals


def ends_of(svg: str) -> tuple[complex, complex]:
    path = parse_path(svg)
    return path.start, path.end


def moves(answer: dict[str, Any]) -> Iterator[tuple[int, complex | None, complex | None]]:
    """Each move's line, and where it begins and ends; None at a place within a shape."""
    drawn = [parse_path(shape["svg"]) for shape in answer["fill"]]
    length = [0.0] * len(drawn)
    for move in answer["path"]["segments"]:
        if "shape" in move:
            length[move["shape"]] = max(length[move["shape"]], *move["span_in"])
    for move in answer["path"]["segments"]:
        if "shape" in move:
            path, whole = drawn[move["shape"]], length[move["shape"]]
            yield (
                move["line"],
                *(path.start if at == 0 else path.end if at == whole else None for at in move["span_in"]),
            )
        else:
            yield move["line"], *ends_of(move["svg"])


@pytest.mark.parametrize("kind", ["feathers", "leaves", "needles"])
def test_shapes_end_where_their_moves_do(kind: str) -> None:
    layout = example(4, fill=Fill(kind=kind), sides=(40.0, 40.0, 40.0, 40.0))
    fill = filled(layout)
    path = path_of(layout, fill)
    answer = stitched_out(placed_out(Chosen(layout, "hers")), fill, path, "in").model_dump()
    drawn = [ends_of(shape["svg"]) for shape in answer["fill"]]
    for segment in path.segments:
        if segment.shape is not None:
            whole = len(segment.strand.curves)
            for place, point in zip(segment.places, (segment.start, segment.end), strict=True):
                if place in (0, whole):
                    assert abs(drawn[segment.shape][place == whole] - complex(*point)) <= SAID_IN
    joints = [
        abs(last[2] - first[1])
        for last, first in pairwise(moves(answer))
        if last[0] == first[0] and last[2] is not None and first[1] is not None
    ]
    assert len(joints) > len(answer["fill"]) / 2
    assert max(joints) <= 2 * SAID_IN
