"""Borders, joins, backing panels, packs: what a cutting table would say."""

import re
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import PlanError
from planner.plan import SIDES, SideName
from planner.sheets.paper import ROLL_WIDTHS_IN, paper
from planner.supplies.backing import backing
from planner.supplies.batting import batting, holds
from planner.supplies.border import border_cloth, border_strips
from planner.supplies.cutting import strips_across, strips_along
from planner.supplies.hours import Timed, machine_speed, own_speed
from planner.supplies.rounding import purchase, whole, whole_joined

SQUARE: dict[SideName, float] = dict.fromkeys(SIDES, 60.0)
SIX: dict[SideName, float] = dict.fromkeys(SIDES, 6.0)


def test_a_strip_that_fits_exactly_needs_no_extra_one() -> None:
    assert whole(40, 40) == 1
    assert whole(3 * 0.1, 0.1) == 3
    assert whole_joined(40 + 39.5, 40, 0.5) == 2
    assert whole_joined(40 + 39.51, 40, 0.5) == 3
    assert whole_joined(0, 40, 0.5) == 0


@given(st.floats(0.01, 5000), st.floats(8, 120), st.floats(0, 4))
def test_joined_strips_are_enough_and_never_one_too_many(need: float, each: float, loss: float) -> None:
    count = whole_joined(need, each, loss)
    assert count * each - (count - 1) * loss >= need - 1e-5
    if count > 1:
        assert (count - 1) * each - (count - 2) * loss < need


@given(st.floats(0, 3000))
def test_metres_to_ten_centimetres(need: float) -> None:
    bought = purchase(need, "mm")
    assert -1e-5 <= bought.bought_in - need < 100 / 25.4
    assert float(bought.words.removesuffix(" m")) * 1000 / 25.4 == pytest.approx(bought.bought_in)


def test_exact_metres_are_not_rounded_up() -> None:
    assert purchase(500 / 25.4, "mm").words == "0.5 m"
    assert purchase(1000 / 25.4, "mm").words == "1.0 m"


def test_mitered_strips_reach_the_outer_corners() -> None:
    strips = border_strips(SQUARE, SIX, corner="mitered", seam_in=0.25, miter_extra_in=2)
    assert set(strips.values()) == {(64.0, 6.25)}


def test_straight_strips_close_round_the_centre() -> None:
    # the outer size with the seams taken back is the size she measured
    strips = border_strips(SQUARE, SIX, corner="straight", seam_in=0.25, miter_extra_in=2)
    centre = 60 - 12
    assert strips["left"] == strips["right"] == (centre + 0.5, 6.25)
    assert strips["top"] == strips["bottom"] == (60, 6.25)


def test_border_across_the_cloth() -> None:
    strips = border_strips(SQUARE, SIX, corner="mitered", seam_in=0.25, miter_extra_in=2)
    cloth = border_cloth(strips, grain="across", cloth_width_in=40, seam_in=0.25, units="in")
    # 4 x 64 = 256 in; 7 strips of 40 less 6 joins of 1/2 in give 277, 6 give 237.5
    assert (cloth.strips, cloth.joins, cloth.cloth_in) == (7, 6, 7 * 6.25)


def test_border_along_the_cloth_has_no_join() -> None:
    strips = border_strips(SQUARE, SIX, corner="mitered", seam_in=0.25, miter_extra_in=2)
    cloth = border_cloth(strips, grain="along", cloth_width_in=40, seam_in=0.25, units="in")
    assert (cloth.joins, cloth.cloth_in) == (0, 64)


def test_borders_of_two_widths_are_cut_apart() -> None:
    widths: dict[SideName, float] = {"top": 8, "right": 6, "bottom": 8, "left": 6}
    strips = border_strips(SQUARE, widths, corner="straight", seam_in=0.25, miter_extra_in=2)
    cloth = border_cloth(strips, grain="across", cloth_width_in=42, seam_in=0.25, units="in")
    # top and bottom: 120 in, 3 strips of 8 1/4; left and right: 2 x 44.5 = 89 in, 3 strips of 6 1/4
    assert cloth.cloth_in == 3 * 8.25 + 3 * 6.25


def test_short_strips_are_not_joined() -> None:
    laid = strips_across([30, 30, 10, 10], 3, 40, 0.5, "in")
    assert (laid.count, laid.joins) == (2, 0)


def test_a_border_wider_than_the_cloth_is_refused() -> None:
    with pytest.raises(PlanError) as caught:
        strips_along([(64, 45)], 40, "in")
    assert "across" in caught.value.cure


@pytest.mark.parametrize(
    ("width", "height", "run", "panels", "seams", "cloth"),
    [
        # 32 + 8 = 40 in fits one width exactly
        (32, 60, "down", 1, (), 68),
        # 68 x 88: two widths down, the split one outside, seams a quarter in from each side
        (60, 80, "down", 2, (17.0, 51.0), 176),
        # 98 x 108: three widths of 40 less two seams of 1 in give 118 either way; 3 x 98 is less than 3 x 108
        (90, 100, "across", 3, ((108 - 1) / 3 + 0.5, 2 * (108 - 1) / 3 + 0.5), 294),
    ],
)
def test_backing_panels(
    width: float, height: float, run: str, panels: int, seams: tuple[float, ...], cloth: float
) -> None:
    back = backing(width, height, overhang_in=4, cloth_width_in=40, seam_in=0.5, units="in")
    assert (back.run, back.panels, back.cloth_in) == (run, panels, cloth)
    assert back.seams_in == pytest.approx(seams)


@given(st.floats(20, 240), st.floats(20, 240), st.floats(20, 120), st.floats(0, 1))
def test_backing_covers_and_has_no_seam_on_its_middle(w: float, h: float, cloth: float, seam: float) -> None:
    back = backing(w, h, overhang_in=4, cloth_width_in=cloth, seam_in=seam, units="in")
    across = back.width_in if back.run == "down" else back.height_in
    edges = (0.0, *back.seams_in, across)
    widths = [b - a for a, b in pairwise(edges)]
    assert sum(widths) == pytest.approx(across)
    assert all(abs(s - across / 2) > 1 for s in back.seams_in)
    if back.panels % 2:
        cut = [x + seam * ((i > 0) + (i < len(widths) - 1)) for i, x in enumerate(widths)]
        assert max(cut) <= cloth + 1e-5
        assert len(widths) == back.panels
    else:
        assert widths[0] + widths[-1] + 2 * seam <= cloth + 1e-5
        assert all(x + 2 * seam <= cloth + 1e-5 for x in widths[1:-1])


def test_no_cloth_left_between_seams() -> None:
    with pytest.raises(PlanError):
        backing(60, 60, overhang_in=4, cloth_width_in=2, seam_in=1, units="in")


def test_pack_either_way_round_or_off_the_roll() -> None:
    lying = batting(84, 60, overhang_in=3)
    assert lying.pack is not None
    assert (lying.pack.name, lying.turned) == ("twin", True)
    assert batting(114, 114, overhang_in=3).pack is not None  # exactly a king pack
    assert batting(118, 118, overhang_in=3).pack is None


def test_open_place_against_the_batting() -> None:
    assert holds(8.0, 8.0)
    assert not holds(8.1, 8.0)


@pytest.mark.parametrize(
    ("refused", "lengths"),
    [
        (lambda: strips_along([(64, 45)], 40, "cm"), ("114.3 cm", "101.6 cm")),
        (lambda: strips_across([90], 3, 2, 2, "cm"), ("5.1 cm",)),
        (
            lambda: backing(60, 60, overhang_in=4, cloth_width_in=2, seam_in=1, units="cm"),
            ("2.5 cm", "5.1 cm"),
        ),
        (lambda: own_speed((Timed(600, 1),), machine_speed(1000, 10), "mm"), ("254 mm", "42 mm")),
        (lambda: paper("roll", 2.0, "cm"), ("5.1 cm", f"{ROLL_WIDTHS_IN[0] * 25.4 / 10:.1f} cm")),
    ],
)
def test_a_refusal_speaks_in_the_units_of_the_plan(
    refused: Callable[[], object], lengths: tuple[str, ...]
) -> None:
    with pytest.raises(PlanError) as caught:
        refused()
    words = f"{caught.value.message} {caught.value.cure}"
    for length in lengths:
        assert length in words
    assert not re.search(r"\d in\b(?! or 61 cm)", words)
