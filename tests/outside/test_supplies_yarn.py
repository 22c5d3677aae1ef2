"""Thread numbering against published values, and against pint as an independent judge."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import PlanError
from planner.supplies.yarn import COTTON, NUMBERINGS, System, from_tex, to_tex

UNITS: pint.UnitRegistry[float] = pint.UnitRegistry()

# computed from the exact pound and yard, REFERENCES section 2
TABLE = [
    # tex, denier, dtex, Nm, Ne, metric ticket, cotton ticket
    (16, 144, 160, 62.5, 36.9088, 187.5, 110.726),
    (21, 189, 210, 47.6190, 28.1210, 142.857, 84.363),
    (24, 216, 240, 41.6667, 24.6059, 125, 73.818),
    (27, 243, 270, 37.0370, 21.8719, 111.111, 65.616),
    (30, 270, 300, 33.3333, 19.6847, 100, 59.054),
    (35, 315, 350, 28.5714, 16.8726, 85.714, 50.618),
    (40, 360, 400, 25, 14.7635, 75, 44.291),
    (50, 450, 500, 20, 11.8108, 60, 35.432),
    (60, 540, 600, 16.6667, 9.8424, 50, 29.527),
    (80, 720, 800, 12.5, 7.3818, 37.5, 22.145),
]
COLUMNS: tuple[System, ...] = ("tex", "denier", "dtex", "Nm", "Ne", "metric_ticket", "cotton_ticket")


@pytest.mark.parametrize("row", TABLE)
def test_table(row: tuple[float, ...]) -> None:
    for system, number in zip(COLUMNS, row, strict=True):
        assert from_tex(row[0], system) == pytest.approx(number, abs=1e-3)
        assert to_tex(number, system) == pytest.approx(row[0], rel=1e-4)


def test_constants() -> None:
    # Coats Bulletin 05: tex · Ne = 590.54; ASTM D2260-03(2013) Table 1: cotton count = 0.590541 · Nm
    assert pytest.approx(590.54, rel=1e-5) == COTTON
    for nm in (10, 37, 80):
        assert from_tex(to_tex(nm, "Nm"), "Ne") == pytest.approx(0.590541 * nm, rel=1e-5)
    assert from_tex(10, "denier") == 90  # 9 · tex; one page (mapofsciences.com) prints 9000 / tex: wrong


def test_cotton_count_of_thirty_tex() -> None:
    # ASTM D2260: 590.54 / 30 = 19.7
    assert from_tex(30, "Ne") == pytest.approx(19.7, abs=0.05)


def test_grains_per_lea() -> None:
    # ASTM D2260 Table 1: tex = 0.590541 · grains in 120 yd; one grain is 1/7000 lb
    grains = 25.0
    pounds_a_yard = grains / 7000 / 120
    hanks_a_pound = 1 / (pounds_a_yard * 840)
    assert to_tex(hanks_a_pound, "Ne") == pytest.approx(0.590541 * grains, rel=1e-5)


@pytest.mark.parametrize(
    ("number", "plies", "system", "ticket", "expected"),
    [
        # onlineclothingstudy.com 2013/01; apparelmerchandisinglearner 2017/05
        # salmanenayet.wixsite.com; garmentsmerchandising.com
        (40, 1, "tex", "metric_ticket", 75),
        (80, 2, "Nm", "metric_ticket", 120),
        (80, 4, "Nm", "metric_ticket", 60),
        (60, 1, "Nm", "metric_ticket", 180),
        (60, 2, "Nm", "metric_ticket", 90),
        (60, 4, "Nm", "metric_ticket", 45),
        (40, 2, "Ne", "cotton_ticket", 60),
        (60, 3, "Ne", "cotton_ticket", 60),
        (20, 3, "Ne", "cotton_ticket", 20),
    ],
)
def test_tickets(number: float, plies: int, system: System, ticket: System, expected: float) -> None:
    assert from_tex(to_tex(number, system, plies), ticket) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("nm", "ne"),
    [(10, 5.9), (20, 11.8), (30, 17.7), (40, 23.6), (50, 29.5), (60, 35.4), (80, 47.2), (100, 59.0)],
)
def test_rounded_chart(nm: float, ne: float) -> None:
    # textilecalculator.com/thread-number-conversion, rounded to one place
    assert from_tex(to_tex(nm, "Nm"), "Ne") == pytest.approx(ne, abs=0.06)


def test_wt_as_the_label_means_it() -> None:
    # sinosew.com: wt is km in a kg, tex = 1000 / wt, denier = 9000 / wt
    assert to_tex(40, "wt") == 25
    assert from_tex(to_tex(60, "wt"), "denier") == pytest.approx(150, rel=1e-12)


@given(st.floats(0.5, 2000))
def test_pint_agrees(tex: float) -> None:
    density = tex * UNITS.tex
    assert from_tex(tex, "dtex") == pytest.approx(density.to("dtex").magnitude, rel=1e-9)
    assert from_tex(tex, "denier") == pytest.approx(density.to("denier").magnitude, rel=1e-9)
    assert from_tex(tex, "Nm") == pytest.approx((1 / density).to("number_meter").magnitude, rel=1e-9)
    assert from_tex(tex, "Ne") == pytest.approx((1 / density).to("number_english").magnitude, rel=1e-9)


@given(st.floats(0.5, 2000), st.sampled_from(list(NUMBERINGS)))
def test_there_and_back(tex: float, system: System) -> None:
    assert to_tex(from_tex(tex, system), system) == pytest.approx(tex, rel=1e-12)


@pytest.mark.parametrize(
    ("number", "system", "plies"),
    [(0, "tex", 1), (-3, "Nm", 1), (float("nan"), "Ne", 1), (50, "wt", 3), (120, "metric_ticket", 2)],
)
def test_no_such_thread(number: float, system: System, plies: int) -> None:
    with pytest.raises(PlanError) as caught:
        to_tex(number, system, plies)
    assert caught.value.cure
