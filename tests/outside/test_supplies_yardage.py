"""Binding, backing, batting and yards against published worked examples; the source stands beside each."""

import pytest

from planner.supplies.backing import backing
from planner.supplies.batting import PACKS, batting
from planner.supplies.binding import bias_binding, faces, straight_binding
from planner.supplies.rounding import before_shrinking, purchase


@pytest.mark.parametrize(
    ("edge", "allowance", "width", "join", "strips"),
    [
        # quicktipssewing.blogspot.com 2011/11 (its formula, worked for 50 x 60): 244 / 40
        (220, 24, 40, 0, 7),
        # sylviasquiltdepot.com: 46 x 46, 184 / 40 = 4.6
        (184, 0, 40, 0, 5),
        # castillejacotton.blogspot.com 2013/06: 50 x 60, 220 / (40 - 2) = 5.79
        (220, 0, 40, 2, 6),
        # quiltsbyjen.ca: 63 1/2 x 42 3/4, 212.5 / 40 = 5.31
        (212.5, 0, 40, 0, 6),
        # alwaysinstitchesohio.blogspot.com 2009/08: 40 x 50, 180 / 40 = 4.5
        (180, 0, 40, 0, 5),
        # makewithmight.blogspot.com 2017/03: 38 1/2 square, 154 / 42 = 3.667
        (154, 0, 42, 0, 4),
    ],
)
def test_binding_strips(edge: float, allowance: float, width: float, join: float, strips: int) -> None:
    bound = straight_binding(
        edge, strip_in=2.5, allowance_in=allowance, cloth_width_in=width, join_loss_in=join
    )
    assert bound.strips == strips
    assert bound.cloth_in == strips * 2.5


def test_binding_cloth() -> None:
    # alwaysinstitchesohio 2009/08: 5 strips of 2 1/2 in are 12.5 in; sylviasquiltdepot: 12.5 in, 1/2 yd is
    # "more than enough". cottonpatchfabrics.com reckons by area, 180 / 42 x 3 1/2 = 15 in: whole strips take
    # 17.5 in, still within the 18 in that it buys.
    small = straight_binding(180, strip_in=2.5, allowance_in=0, cloth_width_in=40, join_loss_in=0)
    assert small.cloth_in == 12.5
    assert purchase(small.cloth_in, "in").bought_in <= 18
    wide = straight_binding(180, strip_in=3.5, allowance_in=0, cloth_width_in=42, join_loss_in=0)
    assert wide.cloth_in == 17.5
    assert purchase(wide.cloth_in, "in").bought_in == 18


@pytest.mark.parametrize(("strip", "shows"), [(1.5, 0.25), (2.5, 0.5), (3.5, 0.75)])
def test_finished_binding(strip: float, shows: float) -> None:
    # suite101 2009 (cdmwriter): strip = (2f + 1/4) · 2
    assert faces(strip, 0.25, shows - 0.25) == (shows, shows)


@pytest.mark.parametrize(("length", "strip", "side"), [(200, 2, 20), (250, 2, 23)])
def test_bias_square(length: float, strip: float, side: float) -> None:
    # mydecozo.co.uk forum: 20 in square, 2 in strip, 200 in; 250 in of 2 in: √500 = 22.36, so 23
    assert bias_binding(length, strip_in=strip, allowance_in=0).cloth_in == side


@pytest.mark.parametrize(
    ("inches", "words"),
    [
        # quiltersresources.com (its 1/8 is misprinted), cottonpatchfabrics.com
        (4.5, "1/8 yd"),
        (9, "1/4 yd"),
        (13.5, "3/8 yd"),
        (18, "1/2 yd"),
        (22.5, "5/8 yd"),
        (27, "3/4 yd"),
        (31.5, "7/8 yd"),
        (36, "1 yd"),
        # arithmetic, REFERENCES 5.16
        (12.5, "3/8 yd"),
        (15, "1/2 yd"),
        (17.5, "1/2 yd"),
        (27.5, "7/8 yd"),
        (18.000000000000004, "1/2 yd"),
        (6 * 3.0000000000000004, "1/2 yd"),
        (40, "1 1/8 yd"),
        (0, "0 yd"),
    ],
)
def test_yards_to_buy(inches: float, words: str) -> None:
    assert purchase(inches, "in").words == words


@pytest.mark.parametrize(
    ("width", "height", "wide", "high"),
    [
        # sewberrychic.com/backing; cranberryquiltingco.com: 4 in on each side
        (60, 80, 68, 88),
        (60, 70, 68, 78),
    ],
)
def test_backing_size(width: float, height: float, wide: float, high: float) -> None:
    back = backing(width, height, overhang_in=4, cloth_width_in=40, seam_in=0.5, units="in")
    assert (back.width_in, back.height_in) == (wide, high)


def test_packs() -> None:
    # honeybegood.com and primitivequiltsandprojects.com agree; craft on one page only
    assert [(p.name, p.width_in, p.height_in) for p in PACKS] == [
        ("craft", 34, 45),
        ("crib", 45, 60),
        ("twin", 72, 90),
        ("full", 81, 96),
        ("queen", 90, 108),
        ("king", 120, 120),
    ]
    pad = batting(60, 80, overhang_in=2.5)  # sewberrychic.com: 5 in larger overall
    assert pad.pack is not None
    assert pad.pack.name == "twin"


def test_shrinkage_has_two_rules() -> None:
    # Beginner's Guide to Quilting (UK, 2020): times 1.05; to end at 60 in after 5 %: 63.158 (arithmetic)
    assert before_shrinking(60, 0.05, "add") == pytest.approx(63.0, abs=1e-9)
    assert before_shrinking(60, 0.05, "finish") == pytest.approx(63.158, abs=5e-4)
