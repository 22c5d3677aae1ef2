"""Lengths as a person types them, and as she reads them back.

A length is inches inside. What she types is read exactly (fractions and 25.4 mm to the inch are kept as whole
ratios until the very end); what she is shown is rounded to the marks on her ruler, 1/16 in or 1 mm, and said in
the one unit of her plan.

Two ways of writing are ambiguous and are refused with the cure, never guessed: a comma before exactly three
digits ("1,125" is 1 1/8 here and eleven hundred there), and a point before exactly three digits of a
millimetre ("1.234 mm"). A point is otherwise a decimal point, a comma otherwise a decimal comma.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from planner.errors import LengthError
from planner.geometry.arrays import ROUNDING
from planner.plan import Units

MM_PER_IN = Fraction(254, 10)  # exact since 1959
MARKS_PER_IN = 16  # the finest marks on a quilter's ruler
MARK_IN: dict[Units, float] = {"in": 1 / MARKS_PER_IN, "cm": 1 / 25.4, "mm": 1 / 25.4}
LONGEST_TEXT = 60  # characters; no length needs more


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit she may write. small: how many of it make one of the next larger unit ("1 ft 3 in")."""

    name: str
    metric: bool
    inches: Fraction
    small: int | None


INCH = Unit("in", False, Fraction(1), 12)
FOOT = Unit("ft", False, Fraction(12), 3)
YARD = Unit("yd", False, Fraction(36), None)
MILLIMETRE = Unit("mm", True, 1 / MM_PER_IN, 10)
CENTIMETRE = Unit("cm", True, 10 / MM_PER_IN, 100)
METRE = Unit("m", True, 1000 / MM_PER_IN, None)

BARE: dict[Units, Unit] = {"in": INCH, "cm": CENTIMETRE, "mm": MILLIMETRE}
EXAMPLES: dict[Units, str] = {"in": "1 1/4 or 1.25", "cm": "3.2 or 12.5", "mm": "32 or 125"}

UNIT_WORDS: dict[str, Unit] = {
    **dict.fromkeys(('"', "in", "in.", "inch", "inches"), INCH),
    **dict.fromkeys(("'", "ft", "ft.", "foot", "feet"), FOOT),
    **dict.fromkeys(("yd", "yd.", "yds", "yard", "yards"), YARD),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), MILLIMETRE),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), CENTIMETRE),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), METRE),
}

SINGLE_QUOTES = "'’‘‛′ʹʼ`´＇"
DOUBLE_QUOTES = '"”“„‟″ʺ˝〃＂'
DASHES = "-‐‑‒–—−－"
SLASHES = "/⁄∕／"

# A number is everything up to the next unit word; what stands between two terms may be a space or a dash.
TERM = re.compile(r"""(?P<number>[\d.,/ -]*\d)\s*(?P<unit>"|'|[^\W\d]+\.?)?[ ]*(?:-(?=[ ]*\d))?[ ]*""")
MIXED = re.compile(r"(?P<whole>\d+)(?: +|-)(?P<top>\d+) ?/ ?(?P<bottom>\d+)")
FRACTION = re.compile(r"(?P<top>\d+) ?/ ?(?P<bottom>\d+)")
PLAIN = re.compile(r"\d+|\d*[.,]\d+")
SAID = (  # as one says it, and the same in plain figures
    (re.compile(r"(?<=[\d.\"'a-z]) *(?:\+|&|\band\b) *(?=\d)"), " "),  # 90 and 1/8, 90+1/8
    (re.compile(r"(?<=\d)/ ?(\d+) ?(?:ths?|nds?|rds?)\b"), r"/\1"),  # 6 3/16ths
    (re.compile(r"(?<=\d)\.(?![\d.,])"), ""),  # 5.
    (re.compile(r'(\d) ?(?:"|in\.?|inch(?:es)?) ?(\d+ ?/ ?\d+)$'), r'\1 \2"'),  # 6"1/2, 6 in 1/2
)
INSIDE = re.compile(r"(?<=\d) (?=\d+/\d)|(?<=[\d+]) (?=(?:in|mm|cm|yd|m)\b)")
GROUPED = re.compile(r"\d{1,3}(?P<group>[., ])\d{3}(?:(?P=group)\d{3})*(?:(?P<mark>[.,])\d+)?")


def parse_length(text: str, units: Units, *, field: str = "") -> float:
    """Read a length as typed; inches. A bare number is in ``units``.

    Raises LengthError (and nothing else) where it cannot be read in exactly one way; ``field`` is passed on.
    """
    return float(_Reader(text, units, field).inches())


def mark_at_most(value_in: float, units: Units) -> float:
    """The last mark on her ruler that is not past a limit, inches: what she takes then keeps the limit."""
    per_in = MARKS_PER_IN if units == "in" else MM_PER_IN
    return float(floor(value_in * float(per_in) + ROUNDING) / per_in)


def format_length(value_in: float, units: Units) -> str:
    """A length to read, to the nearest mark of her ruler: "6 3/8 in", "16.2 cm" or "162 mm"."""
    return _in_parts(value_in, units, MARKS_PER_IN, 1)


def finer_length(value_in: float, units: Units) -> str:
    """A length finer than her ruler shows: to 1/64 in, or to a tenth of a millimetre ("1/64 in", "0.07 cm")."""
    return _in_parts(value_in, units, 64, 10)


def _in_parts(value_in: float, units: Units, per_in: int, per_mm: int) -> str:
    """A length in so many parts of an inch, or of a millimetre."""
    sign, size = ("-", -value_in) if value_in < 0 else ("", value_in)
    if units != "in":
        parts = floor(size * 25.4 * per_mm + 0.5)
        return f"{sign if parts else ''}{parts / (per_mm * (10 if units == 'cm' else 1)):.10g} {units}"
    whole, rest = divmod(floor(size * per_in + 0.5), per_in)
    part = Fraction(rest, per_in)
    if not part:
        return f"{sign if whole else ''}{whole} in"
    return f"{sign}{whole} {part} in" if whole else f"{sign}{part} in"


def unbroken(text: str) -> str:
    """Words with no line break inside a length: "5 3/16 in" held together by no-break spaces."""
    return INSIDE.sub("\u00a0", text)


@dataclass(frozen=True, slots=True)
class _Reader:
    """One reading: the text as typed, for the words of an error, and what a bare number means."""

    text: str
    units: Units
    field: str

    def inches(self) -> Fraction:
        if len(self.text) > LONGEST_TEXT:
            raise self.refusal("That is too long for a length", f"write one length, such as {self.example()}")
        plain = _plain(self.text)
        if not plain:
            raise self.refusal("There is no length here", f"write a number, such as {self.example()}")
        if plain.startswith("-"):
            raise self.refusal("A length cannot be less than nothing", "leave out the minus sign")
        return self.total(self.terms(plain))

    def terms(self, plain: str) -> list[tuple[str, Unit | None]]:
        """Cut "1 ft 3 1/2 in" into [("1", ft), ("3 1/2", in)]."""
        found: list[tuple[str, Unit | None]] = []
        place = 0
        while place < len(plain):
            match = TERM.match(plain, place)
            if match is None:
                raise self.unreadable()
            word = match["unit"]
            if word is not None and word not in UNIT_WORDS:
                raise self.refusal(f"“{word}” is no unit of length known here", "use in, ft, yd, mm, cm or m")
            if found and found[-1][1] is None:
                raise self.unreadable()
            found.append((match["number"], UNIT_WORDS[word] if word else None))
            place = match.end()
        return found

    def total(self, terms: list[tuple[str, Unit | None]]) -> Fraction:
        bare = BARE[self.units]
        total = Fraction(0)
        before: Unit | None = None
        for number, written in terms:
            unit = written or (INCH if before is FOOT else bare if before is None else None)
            if unit is None:
                raise self.refusal(
                    "A number without its unit follows another length", "give each number its unit"
                )
            value = self.number(number, unit)
            if before is not None:
                self.check_order(before, unit, value)
            total += value * unit.inches
            before = unit
        return total

    def check_order(self, before: Unit, unit: Unit, value: Fraction) -> None:
        if before.metric != unit.metric or before.inches <= unit.inches:
            raise self.refusal(
                f"{before.name} followed by {unit.name} cannot be added up for certain",
                "use one unit for all",
            )
        if unit.small is not None and value * unit.inches >= before.inches:
            raise self.refusal(
                f"{float(value):g} {unit.name} after {before.name} is more than one {before.name}",
                f"write it all in {unit.name}, or check the numbers",
            )

    def number(self, text: str, unit: Unit) -> Fraction:
        text = text.strip()
        if match := MIXED.fullmatch(text):
            part = self.ratio(match["top"], match["bottom"])
            if part >= 1:
                raise self.refusal("The fraction is a whole or more", "check the fraction, such as 1 1/4")
            return int(match["whole"]) + part
        if match := FRACTION.fullmatch(text):
            return self.ratio(match["top"], match["bottom"])
        if match := GROUPED.fullmatch(text):
            return self.grouped(text, match["group"], match["mark"], unit)
        if PLAIN.fullmatch(text):
            return Fraction(text.replace(",", "."))
        raise self.unreadable()

    def ratio(self, top: str, bottom: str) -> Fraction:
        if int(bottom) == 0:
            raise self.refusal("A fraction cannot be over 0", "check the number below the line")
        return Fraction(int(top), int(bottom))

    def grouped(self, text: str, group: str, mark: str | None, unit: Unit) -> Fraction:
        """Digits in threes: thousands, a decimal, or either (which is refused)."""
        if mark == group:
            raise self.unreadable()
        joined = Fraction(text.replace(group, "").replace(",", "."))
        if group == " ":
            if not unit.metric:
                raise self.refusal(
                    "A space before three digits is not clear",
                    f"write {float(joined):g} for thousands, or a fraction such as 1 1/4",
                )
            return joined
        if mark is not None or text.count(group) > 1:
            return joined
        decimal = Fraction(text.replace(",", "."))
        if text.startswith("0") or (group == "." and unit is not MILLIMETRE):
            return decimal
        small = f"{float(decimal):.1f}" if unit is MILLIMETRE else text.replace(",", ".")
        raise self.refusal(
            "Three digits after a comma or a point can mean thousands or a part",
            f"write {small} {unit.name} or {joined} {unit.name}",
        )

    def example(self) -> str:
        return EXAMPLES[self.units]

    def unreadable(self) -> LengthError:
        return self.refusal(
            "That cannot be read as a length", f"write it like {self.example()}, with a unit if you like"
        )

    def refusal(self, what: str, cure: str) -> LengthError:
        shown = self.text if len(self.text) <= LONGEST_TEXT else self.text[:LONGEST_TEXT] + "…"
        shown = "".join(c if c.isprintable() else "�" for c in shown)
        return LengthError(f"{what}: “{shown}”.", field=self.field, cure=cure[:1].upper() + cure[1:] + ".")


def _plain(text: str) -> str:
    """The text in plain digits, slashes, quotes and single spaces, in lower case.

    A digit of another kind beside a plain one (1¼, 1¹⁄₄) is kept apart by a space, so that 1¼ never reads
    as 11/4.
    """
    out: list[str] = []
    last = ""
    for char in text.replace("\r", " ").replace("\n", " "):
        kind, plain = _kind(char)
        if last and kind != last and out and out[-1][-1:].isdigit() and plain[:1].isdigit():
            out.append(" ")
        if plain:
            out.append(plain)
            last = kind
    joined = "".join(out).replace("''", '"').lower()
    for said, meant in SAID:
        joined = said.sub(meant, joined)
    return re.sub(" +", " ", joined).strip()


def _kind(char: str) -> tuple[str, str]:
    """How a character is written (its kind) and what it means in plain characters."""
    for signs, plain in ((SINGLE_QUOTES, "'"), (DOUBLE_QUOTES, '"'), (DASHES, "-"), (SLASHES, "/")):
        if char in signs:
            return "sign", plain
    category = unicodedata.category(char)
    if category == "Zs" or char == "\t":
        return "space", " "
    if category == "Cf":  # zero-width joiners and marks that come along when she pastes
        return "", ""
    digit = unicodedata.decimal(char, None)
    if digit is not None:
        return "plain", str(digit)
    decomposition = unicodedata.decomposition(char)
    tag = decomposition.split(" ")[0]
    if tag in ("<fraction>", "<super>", "<sub>", "<wide>", "<narrow>", "<square>"):
        return tag, unicodedata.normalize("NFKC", char).replace("⁄", "/")
    return "plain", char
