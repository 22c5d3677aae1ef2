"""Lengths as typed: read in exactly one way, or refused with the cure."""

from fractions import Fraction
from typing import get_args

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from planner.errors import LengthError
from planner.lengths import EXAMPLES, finer_length, format_length, mark_at_most, parse_length, unbroken
from planner.plan import Units

INCHES: dict[str, str] = {
    "0": "0",
    "6": "6",
    " 6 ": "6",
    "1 1/4": "5/4",
    "1¼": "5/4",
    "1 ¼": "5/4",
    "1-1/4": "5/4",
    "1–1/4": "5/4",
    "1-¼": "5/4",
    "1¹⁄₄": "5/4",
    "1⅟4": "5/4",
    "1 1⁄4": "5/4",
    "1\u00a01/4": "5/4",
    "1\u20091/4": "5/4",
    "1\u202f1 / 4 in": "5/4",
    "１ １／４": "5/4",
    "1.25": "5/4",
    "1,25": "5/4",
    ".5": "1/2",
    ",5": "1/2",
    "0,375": "3/8",
    "1.125": "9/8",
    "⅜": "3/8",
    "¾ in": "3/4",
    "6 3/8 in": "51/8",
    "6 3/8 IN.": "51/8",
    '6 3/8"': "51/8",
    "6 3/8”": "51/8",
    "6 3/8″": "51/8",
    "6 3/8''": "51/8",
    "6 3/8′′": "51/8",
    "1' 3\"": "15",
    "1′3″": "15",
    "1’ 3½”": "31/2",
    "1'-3\"": "15",
    "1' 3": "15",
    "1 ft 3 in": "15",
    "1ft3in": "15",
    "2 feet": "24",
    "1 1/2 yd": "54",
    "1 yd 1 ft 6 in": "54",
    "60 inches": "60",
    "1\u200b/2": "1/2",
    '6"1/2': "13/2",
    "6 in 1/2": "13/2",
    "6 inches 1/2": "13/2",
    "1' 6\"½": "37/2",
    "90 and 1/8": "721/8",
    "90 + 1/8": "721/8",
    "90+1/8": "721/8",
    "90 & 1/8 in": "721/8",
    "7 ft and 6 in": "90",
    "5.": "5",
    "5. in": "5",
    "6 3/16ths": "99/16",
    "6 3/16th in": "99/16",
    "3/8ths": "3/8",
}
METRIC_MM: dict[str, str] = {
    "32mm": "32",
    "32": "32",
    "3.2 cm": "32",
    "3,2 cm": "32",
    "3㎝": "30",
    "1/2 cm": "5",
    "1.52 m": "1520",
    "1 m 52 cm": "1520",
    "1 234,5": "2469/2",
    "1 234": "1234",
    "1.234,5 mm": "2469/2",
    "1,234.5 mm": "2469/2",
    "1.234.567 mm": "1234567",
    "٣٢ mm": "32",
    "1 in": "127/5",
    "6 in 1/2": "1651/10",
    "230.": "230",
}
REFUSED_IN = [
    "",
    "   ",
    "six",
    "1,125",
    "1,125 in",
    "12,000",
    "1 125",
    "1 5/4",
    "1/0",
    "1 1/0",
    "-3",
    "−3",
    "1 - 1/4",
    "1/2/3",
    "¼¼",
    "¼4",
    "1.¼",
    "1.5 1/4",
    "1.5/2",
    "1.23,5",
    "1.234.5",
    "1..5",
    "1e3",
    "nan",
    "inf",
    "3 furlongs",
    "3 in 5 mm",
    "3 in 2 ft",
    "1'234",
    "1 ft 12 in",
    "1 ft 30 cm",
    "1 yd 3",
    "1 m 20",
    '1"5/4',
    "6 and 8",
    "6 + 8",
    "and 6",
    "6 and",
    "1/2 + 1/4",
    "6 ths",
    "1 2",
    "3 in\x00",
    "9" * 61,
]
REFUSED_MM = ["1.234", "1.234 mm", "1,234 mm", "1,234 cm", "12.500", "1 m 200 cm", "1 23 mm"]


@pytest.mark.parametrize(("text", "inches"), INCHES.items())
def test_inches_are_read_exactly(text: str, inches: str) -> None:
    assert parse_length(text, "in") == float(Fraction(inches))


@pytest.mark.parametrize(("text", "mm"), METRIC_MM.items())
def test_metric_is_read_exactly(text: str, mm: str) -> None:
    # 1 in = 25.4 mm exactly since 1959: Wikipedia "Yard", NIST SP 811 (the latter from memory)
    assert parse_length(text, "mm") == float(Fraction(mm) / Fraction(254, 10))


@pytest.mark.parametrize("text", REFUSED_IN)
def test_what_has_no_single_meaning_is_refused(text: str) -> None:
    with pytest.raises(LengthError) as caught:
        parse_length(text, "in", field="sides_in.top")
    assert caught.value.cure.endswith(".")
    assert caught.value.field == "sides_in.top"


@pytest.mark.parametrize("text", REFUSED_MM)
def test_what_has_no_single_meaning_is_refused_in_millimetres(text: str) -> None:
    with pytest.raises(LengthError):
        parse_length(text, "mm")


def test_the_cure_for_three_digits_can_be_typed() -> None:
    with pytest.raises(LengthError) as caught:
        parse_length("1,125", "in")
    assert caught.value.cure == "Write 1.125 in or 1125 in."
    assert parse_length("1.125 in", "in") == 1.125
    assert parse_length("1125 in", "in") == 1125


def test_exact_conversions() -> None:
    # REFERENCES 8.1, 8.2: arithmetic from 1 in = 25.4 mm
    assert parse_length("25.4 mm", "in") == 1.0
    assert parse_length("2,54 cm", "mm") == parse_length("2,54", "cm") == 1.0
    assert parse_length("1.5875 mm", "in") == 1 / 16
    assert parse_length("0.3175 cm", "in") == 1 / 8
    assert parse_length("0.9144 m", "in") == 36.0


@pytest.mark.parametrize(
    ("value", "inches", "centimetres", "millimetres"),
    [
        (0.0, "0 in", "0 cm", "0 mm"),
        (6.375, "6 3/8 in", "16.2 cm", "162 mm"),
        (6.0, "6 in", "15.2 cm", "152 mm"),
        (0.0625, "1/16 in", "0.2 cm", "2 mm"),
        (32 / 25.4, "1 1/4 in", "3.2 cm", "32 mm"),
        (60.0, "60 in", "152.4 cm", "1524 mm"),
        (-0.375, "-3/8 in", "-1 cm", "-10 mm"),
        (-0.01, "0 in", "0 cm", "0 mm"),
        (5.9999, "6 in", "15.2 cm", "152 mm"),
    ],
)
def test_shown_as_on_a_ruler(value: float, inches: str, centimetres: str, millimetres: str) -> None:
    shown = tuple(format_length(value, units) for units in get_args(Units))
    assert shown == (inches, centimetres, millimetres)


@pytest.mark.parametrize(
    ("value", "inches", "centimetres", "millimetres"),
    [
        (1 / 64, "1/64 in", "0.04 cm", "0.4 mm"),
        (0.7 / 25.4, "1/32 in", "0.07 cm", "0.7 mm"),
        (7.5 / 25.4, "19/64 in", "0.75 cm", "7.5 mm"),
        (2.5, "2 1/2 in", "6.35 cm", "63.5 mm"),
    ],
)
def test_finer_than_a_ruler(value: float, inches: str, centimetres: str, millimetres: str) -> None:
    shown = tuple(finer_length(value, units) for units in get_args(Units))
    assert shown == (inches, centimetres, millimetres)


@pytest.mark.parametrize(("units", "inches"), [("in", 32.0), ("cm", 32 / 2.54), ("mm", 32 / 25.4)])
def test_a_bare_number_is_in_the_plan_s_unit(units: Units, inches: float) -> None:
    assert parse_length("32", units) == pytest.approx(inches, abs=1e-12)


def test_every_example_can_be_typed() -> None:
    for units, words in EXAMPLES.items():
        for one in words.split(" or "):
            assert parse_length(one, units) > 0


UNITS = st.sampled_from(get_args(Units))
HALF_MARK: dict[str, float] = {"in": 1 / 32, "cm": 0.5 / 25.4, "mm": 0.5 / 25.4}


@given(st.floats(0, 1000), UNITS)
def test_what_is_shown_can_be_typed_back(value: float, units: Units) -> None:
    back = parse_length(format_length(value, units), units)
    assert abs(back - value) <= HALF_MARK[units] + 1e-9
    marks = back / (2 * HALF_MARK[units])
    assert abs(marks - round(marks)) < 1e-9


@given(st.floats(0, 1000), UNITS)
@example(40 / 25.4, "mm")  # on a mark already: it stays
@example(3.75 - 1e-13, "in")
def test_a_limit_is_shown_by_the_last_mark_that_keeps_it(value: float, units: Units) -> None:
    mark = parse_length(format_length(mark_at_most(value, units), units), units)
    assert mark <= value + 1e-9
    assert value - mark < 2 * HALF_MARK[units]


@given(st.integers(0, 200), st.integers(1, 63), st.sampled_from((" ", "-", "  ")))
def test_fractions_are_exact(whole: int, top: int, between: str) -> None:
    assert parse_length(f"{whole}{between}{top}/64", "in") == whole + top / 64


LIKELY = st.text(alphabet="0123456789.,/'\"-− ¼½⅓⅟¹⁄₄²²\u00a0\u200bincmftyd１㎜", max_size=14)


@given(LIKELY | st.text(max_size=80), UNITS)
@example("1" + "０" * 70, "in")
@example("İ", "in")
def test_nothing_but_a_length_error_is_raised(text: str, units: Units) -> None:
    try:
        value = parse_length(text, units)
    except LengthError as error:
        assert error.message
        assert error.cure
    else:
        assert value >= 0


@given(st.integers(0, 99), st.sampled_from("¼½¾⅓⅔⅛⅜⅝⅞"), st.integers(0, 9))
def test_a_fraction_sign_is_never_run_together_with_digits(whole: int, sign: str, after: int) -> None:
    assert whole <= parse_length(f"{whole}{sign}", "in") < whole + 1
    with pytest.raises(LengthError):
        parse_length(f"{sign}{after}", "in")


def test_no_line_breaks_inside_a_length() -> None:
    words = unbroken(
        "its centre 52 7/8 in from the corner, 5 3/16+ in deep, 12.1 cm, or 3 quarters in 5 rows"
    )
    assert words.split(" ") == [
        *("its", "centre", "52\u00a07/8\u00a0in", "from", "the", "corner,", "5\u00a03/16+\u00a0in", "deep,"),
        *("12.1\u00a0cm,", "or", "3", "quarters", "in", "5", "rows"),
    ]
