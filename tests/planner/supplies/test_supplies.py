"""What a plan takes, against examples worked by hand; the arithmetic stands beside each."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from planner.lengths import format_length, parse_length
from planner.plan import Plan, SideLengths, Units
from planner.supplies.basis import DEFAULTS, METRIC, usual
from planner.supplies.figures import FIGURES, figure_in_words, source_of
from planner.supplies.supplies import Supplies, supplies_of
from planner.supplies.thread import capacity_words, thread_words
from planner.supplies.work import Work

WORK = Work(stitching_in=6000, starts=8, circles=76, guide_lines=16, spine_in=900, open_in=3)


def quilt(
    top: float, right: float, bottom: float, left: float, border: float, units: Units = "in", **more: float
) -> Plan:
    return Plan(
        sides_in=SideLengths(top=top, right=right, bottom=bottom, left=left),
        border_in=SideLengths(top=border, right=border, bottom=border, left=border),
        units=units,
        **more,  # type: ignore[arg-type]
    )


def bought(found: Supplies) -> dict[str, tuple[str, str]]:
    return {item.what: (item.how_much, item.note) for item in found.shopping}


def test_a_small_quilt() -> None:
    found = supplies_of(quilt(36, 36, 36, 36, 4), WORK)
    # Of 40 in 40 / 1.05 = 38.10 in are left once it is washed. A mitered side takes 36 + 2 + 2 = 40 in: more
    # so all are joined: 160 in from strips of 38.10 less 1/2 in at each join, (160 - 0.5) / 37.60 = 4.24:
    # than that, but 36 in and 1 in at each end is not: 4 whole strips. 4 x (4 + 1/4) = 17 in, 5 % more 17.85 in: 4
    # eighths of 4.5 in.
    assert (found.border.strips, found.border.joins, found.border.cloth_in) == (4, 0, 17)
    assert found.border_buy.words == "1/2 yd"
    assert bought(found)["Border cloth"][1].endswith(
        "no join: 1 in to spare at each end instead of 2 in; none if they are sewn on"
    )
    # The edge and 12 in: 144 + 12 = 156 in. (156 - 2.5) / (38.10 - 2.5) = 4.31: 5 strips of 2.5 in are 12.5 in,
    # washed 13.125 in: 3 eighths.
    assert (found.binding.strips, found.binding.cloth_in) == (5, 12.5)
    assert found.binding_buy.words == "3/8 yd"
    # 36 + 4 + 4 = 44 in square. One width of 38.10 is too narrow; two, less two seams of 1/2 + 1/2 in, are enough.
    # Two lengths of 44 in are 88 in, washed 92.4 in: 21 eighths (94.5 in).
    assert (found.backing.panels, found.backing.cloth_in) == (2, 88)
    assert found.backing_buy.words == "2 5/8 yd"


def test_the_cutting_list_of_the_backing_gives_the_seams_it_tells() -> None:
    found = supplies_of(quilt(90, 100, 90, 100, 6), WORK)
    # 98 by 108 in; three widths of 38.10 less two seams of 1 in are 112.3 in, enough either way; across takes
    # 3 x 98 = 294 in, down 3 x 108. Each is trimmed to (108 + 2) / 3 = 36 2/3 in: sewn, the outer two show
    # 36 2/3 - 1/2 = 36 1/6 in and the middle one 35 2/3 in, so the seams lie at 36 1/6 and 71 5/6 in.
    (panels,) = found.backing.cuts
    assert (panels.count, panels.length_in) == (3, 98)
    assert panels.width_in == pytest.approx(36 + 2 / 3)
    assert found.backing.seams_in == pytest.approx((36 + 1 / 6, 71 + 5 / 6))
    found = supplies_of(quilt(60, 80, 60, 80, 6), WORK)
    # 68 by 88 in: two widths, each trimmed to 68 / 2 + 1 = 35 in; one of them cut in half, 17 1/2 in each, shows
    # 17 in at the left and the right: seams at 17 and 51 in.
    assert [cut.width_in for cut in found.backing.cuts] == [35, 35]
    assert found.backing.seams_in == (17, 51)


def test_of_two_unlike_sides_the_longer_decides() -> None:
    found = supplies_of(quilt(65.5, 84, 66.25, 84, 6), WORK)
    # 66.25 + 6 = 72.25 in is too wide for a twin pack (72 by 90); the mean of both sides, 65.875, would just fit
    assert found.batting.pack is not None
    assert found.batting.pack.name == "full"
    assert found.batting.width_in == 72.25
    assert found.backing.width_in == 66.25 + 8


@pytest.mark.parametrize(
    ("strip", "trimmed", "words"),
    [
        # doubled to 1 1/4 and sewn 1/4 in from the raw edge, 1 in is left for two faces; trimmed even with the top,
        # the quilt reaches 1/4 in past the seam
        (
            2.5,
            0.0,
            "shows 1/4 in on the front and 3/4 in on the back, batting and backing trimmed even with the top",
        ),
        (2.5, 0.25, "shows 1/2 in on both faces, batting and backing trimmed 1/4 in beyond the top"),
        (1.5, 0.0, "shows 1/4 in on both faces, batting and backing trimmed even with the top"),
        # 3/4 less 1/4 leaves 1/2, all of it in front; twice 1/4 and 1/2 and 1/2 would do
        (1.5, 0.25, "batting and backing trimmed 1/4 in beyond the top: cut it 2 1/2 in wide"),
    ],
)
def test_a_binding_says_what_shows_and_how_the_quilt_is_trimmed_for_it(
    strip: float, trimmed: float, words: str
) -> None:
    basis = replace(DEFAULTS, binding_strip_in=strip, trimmed_in=trimmed)
    assert bought(supplies_of(quilt(60, 80, 60, 80, 6), WORK, basis))["Binding cloth"][1].endswith(words)


def test_what_is_sewn_on_already_is_not_bought() -> None:
    found = supplies_of(quilt(60, 80, 60, 80, 6), WORK, replace(DEFAULTS, borders="on"))
    assert "Border cloth" not in bought(found)
    assert not found.border.cuts
    assert found.border_buy.words == "none"
    bound = supplies_of(quilt(60, 80, 60, 80, 6, binding_allowance_in=0.0), WORK)
    assert "Binding cloth" not in bought(bound)
    assert "Border cloth" in bought(bound)


def test_bobbins_are_wound_with_the_thread_that_is_listed_for_them() -> None:
    found = supplies_of(quilt(60, 80, 60, 80, 6), WORK)
    # 2 + 2 x 1/16 x 10 = 3 1/4 in of thread an inch, half of it below: 6000 x 1.625 = 9750 in; 2 tails of 6 in at 8
    # starts, 96 in; 15 % more: 11,322.9 in. A bobbin of class M, 4.673 cm3 of 0.8 g, holds 1000 x 4.673 x 0.8 / 18
    # = 207.7 m of 18 tex, and wound at home 60 % of that: 124.6 m, 136.3 yd, 4906 in. 11,322.9 / 4906 = 2.31: 3.
    assert found.thread.needle_in == pytest.approx(11_322.9)
    assert found.thread.bobbin_holds_in == pytest.approx(4906, abs=1)
    assert found.thread.bobbins == 3
    lines = bought(found)
    assert lines["Needle thread"][1].startswith("27 tex")
    assert lines["Thread to wind on bobbins"][1].startswith("18 tex")
    # one thread above and below: 207.7 x 18 / 27 x 0.6 = 83.1 m, 3271 in on a bobbin; 11,322.9 / 3271 = 3.46: 4
    alike = supplies_of(quilt(60, 80, 60, 80, 6), WORK, replace(DEFAULTS, bobbin_number=27.0))
    assert alike.thread.bobbins == 4
    assert bought(alike)["Thread"][1].startswith("27 tex")
    assert "Thread to wind on bobbins" not in bought(alike)


def test_spools_are_counted_for_what_comes_off_them() -> None:
    plan, small = quilt(60, 80, 60, 80, 6), replace(DEFAULTS, spool_in=15_000.0)
    # 11,322.9 in above and as much below: 1 spool of 15,000 in each; 22,645.8 in off one thread: 2; bought: 1
    own = supplies_of(plan, WORK, small).thread
    same = supplies_of(plan, WORK, replace(small, bobbin_number=27.0)).thread
    done = supplies_of(plan, WORK, replace(small, bobbins="bought")).thread
    assert (own.spools, own.bobbin_spools) == (1, 1)
    assert (same.spools, same.bobbin_spools) == (2, 0)
    assert (done.spools, done.bobbin_spools) == (1, 0)
    assert done.bobbins < own.bobbins


def test_what_is_needed_is_rounded_up_and_what_is_held_down() -> None:
    assert thread_words(136.3 * 36, "in") == "140 yd"
    assert capacity_words(136.3 * 36, "in") == "136 yd"
    assert capacity_words(124.6 / 0.0254, "mm") == "124 m"
    assert capacity_words(METRIC.spool_in, "cm") == "2,500 m"


def test_a_quilt_in_centimetres() -> None:
    cm = 1 / 2.54
    found = supplies_of(quilt(150 * cm, 200 * cm, 150 * cm, 200 * cm, 15 * cm, "mm"), WORK)
    # Of 105 cm 105 / 1.05 = 100 cm are left. Mitered: 2 x (150 + 10) + 2 x (200 + 10) = 740 cm; strips joined with
    # 1.5 cm lost: (740 - 1.5) / 98.5 = 7.50: 8 strips of 15 + 0.75 cm are 126 cm, washed 132.3: 1.4 m.
    assert found.border.strips == 8
    assert found.border.cloth_in == pytest.approx(126 * cm)
    assert found.border_buy.words == "1.4 m"
    # (700 + 30 - 6.5) / (100 - 6.5) = 7.74: 8 strips of 6.5 cm are 52 cm, washed 54.6: 0.6 m
    assert found.binding.strips == 8
    assert found.binding_buy.words == "0.6 m"
    # 170 by 220 cm: two widths less 2 x 2.4 cm are 195.2 cm; 2 x 220 = 440 cm (across, 3 x 170), washed 462: 4.7 m;
    # each trimmed to 170 / 2 + 2.4 = 87.4 cm
    assert found.backing_buy.words == "4.7 m"
    assert [cut.width_in for cut in found.backing.cuts] == pytest.approx([87.4 * cm, 87.4 * cm])


def test_metric_plans_have_metric_habits() -> None:
    """Every usual length stands on her ruler (or half a millimetre) and prints as it is reckoned."""
    assert usual("cm") is METRIC
    assert usual("mm") is METRIC
    for name, figure in FIGURES.items():
        if figure.kind != "length":
            continue
        mm = getattr(METRIC, name) * 25.4
        assert abs(2 * mm - round(2 * mm)) < 1e-6, name
        words = figure_in_words(name, getattr(METRIC, name), "mm").replace(",", "")
        if words and not words.endswith(" m"):
            shown = float(words.split()[0]) * (10 if words.endswith("cm") else 1)
            assert shown == pytest.approx(mm, abs=1e-6), name


@pytest.mark.parametrize("units", ["in", "cm", "mm"])
def test_no_piece_is_cut_longer_than_the_cloth_is_said_to_be(units: Units) -> None:
    """40 in of cloth that shrinks 5 % leave 38.095 in: said as 38 1/16, and cut as that, not as 38 1/8."""
    found = supplies_of(quilt(90, 105, 90, 105, 8, units), WORK, replace(DEFAULTS, shrinkage=0.05))
    usable = parse_length(bought(found)["Border cloth"][1].split(" across ")[1].split(" of usable")[0], units)
    strips = next(cut for cut in found.cuts if "selvage to selvage" in cut.what)
    assert parse_length(format_length(strips.length_in, units), units) <= usable + 1e-9


@pytest.mark.parametrize(("units", "inch"), [("cm", 2.54), ("mm", 25.4)])
def test_stitches_an_inch_are_told_by_their_length_too(units: Units, inch: float) -> None:
    words = source_of("stitches_per_inch", units)
    pairs = re.findall(rf"of ([\d.]+) {units} (?:are )?(\d+)", words)
    assert len(pairs) == 2
    assert all(round(inch / float(length)) == int(many) for length, many in pairs)
    assert "of" not in source_of("stitches_per_inch", "in").split()
