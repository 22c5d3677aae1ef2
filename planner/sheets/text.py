"""Words on paper in any script.

Latin, Greek and Cyrillic are set in Noto Sans (SIL Open Font License 1.1, which allows it to be embedded), of
which each file carries the letters it uses. Japanese, Chinese and Korean use the fonts that PDF readers bring
for those scripts (not embedded; poppler needs poppler-data for them): a face of that size is no part of a
sheet. What nothing covers is set as its plain form, or left out where it is a picture, or else as "?": whoever sets
a name asks first (``letters_of``).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container
from dataclasses import dataclass
from functools import cache, lru_cache
from io import BytesIO
from typing import Literal

import pymupdf_fonts
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.cidfonts import UnicodeCIDFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from planner.lengths import unbroken
from planner.sheets.drawing import Anchor

PLAIN, BOLD = "NotoSans", "NotoSans-Bold"
FILES = {PLAIN: "notos", BOLD: "notosbo"}
# script fonts, in the order they are tried, with a codec that tells what each of them covers
SCRIPT_FONTS = (
    ("HeiseiKakuGo-W5", "shift_jis"),
    ("STSong-Light", "gb2312"),
    ("HYSMyeongJo-Medium", "euc_kr"),
)


@dataclass(frozen=True, slots=True)
class Glyphs:
    """Text in one font."""

    font: str
    text: str


Letters = Literal["embedded", "borrowed", "unknown"]


def letters_of(text: str) -> Letters:
    """Whether a text can be set with letters that the sheet carries, that the reader must have, or not at all."""
    glyphs = [(char, _char(char, bold=False)) for char in unicodedata.normalize("NFC", text)]
    if any(glyph.text == "?" != char for char, glyph in glyphs):
        return "unknown"
    return "embedded" if all(glyph.font == PLAIN for _, glyph in glyphs) else "borrowed"


def _known(face: str) -> Container[int]:
    """The characters of a face, which is made known to the PDF writer."""
    font = TTFont(face, BytesIO(pymupdf_fonts.myfont(FILES[face])))
    pdfmetrics.registerFont(font)
    return frozenset(font.face.charToGlyph)


LETTERS = {face: _known(face) for face in FILES}


def write(
    canvas: Canvas,
    x: float,
    y: float,
    text: str,
    size: float,
    *,
    bold: bool = False,
    anchor: Anchor = "start",
) -> None:
    """Set a line of text; x, y, size in points, y up, at the canvas's colour."""
    x -= {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width(text, size, bold=bold)
    for part in _glyphs(text, bold):
        canvas.setFont(part.font, size)
        canvas.drawString(x, y, part.text)
        x += pdfmetrics.stringWidth(part.text, part.font, size)


def width(text: str, size: float, *, bold: bool = False) -> float:
    """Length of a line of text, points."""
    return float(sum(pdfmetrics.stringWidth(part.text, part.font, size) for part in _glyphs(text, bold)))


def wrap(text: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """Lines no longer than ``room`` points; a length is kept on one line, a word longer than a line is broken."""
    return [line for part in text.split("\n") for line in _wrapped(part, size, room, bold=bold)]


def _wrapped(text: str, size: float, room: float, *, bold: bool) -> list[str]:
    lines, line = [], ""
    for word in (part.replace("\u00a0", " ") for part in re.split(r"[^\S\u00a0]+", unbroken(text)) if part):
        longer = f"{line} {word}" if line else word
        if width(longer, size, bold=bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while width(line, size, bold=bold) > room and len(line) > 1:
            cut = len(line) - 1
            while cut > 1 and width(line[:cut], size, bold=bold) > room:
                cut -= 1
            lines.append(line[:cut])
            line = line[cut:]
    return [*lines, line] if line else lines


def fitted(text: str, size: float, room: float, *, bold: bool = False) -> str:
    """The text on one line, ended by … where it is longer than ``room`` points."""
    if width(text, size, bold=bold) <= room:
        return text
    while text and width(text + "…", size, bold=bold) > room:
        text = text[:-1]
    return text.rstrip() + "…"


@lru_cache(maxsize=4096)  # what stands at the foot of a sheet stands on every other
def _glyphs(text: str, bold: bool) -> tuple[Glyphs, ...]:
    """The text cut where its font changes."""
    parts: list[Glyphs] = []
    for char in unicodedata.normalize("NFC", text):
        glyph = _char(char, bold)
        if parts and parts[-1].font == glyph.font:
            parts[-1] = Glyphs(glyph.font, parts[-1].text + glyph.text)
        else:
            parts.append(glyph)
    return tuple(parts)


def _char(char: str, bold: bool) -> Glyphs:
    face = BOLD if bold else PLAIN
    letters = LETTERS[face]
    if not char.isprintable():
        return Glyphs(face, " ")
    if ord(char) in letters:
        return Glyphs(face, char)
    for font, codec in SCRIPT_FONTS:
        if _covers(codec, char):
            return Glyphs(_script_font(font), char)
    plain = "".join(c for c in unicodedata.normalize("NFKD", char) if ord(c) in letters and c.isprintable())
    return Glyphs(face, plain or ("?" if unicodedata.category(char)[0] in "LN" else ""))


def _covers(codec: str, char: str) -> bool:
    try:
        char.encode(codec)
    except UnicodeEncodeError:
        return False
    return True


@cache
def _script_font(name: str) -> str:
    pdfmetrics.registerFont(UnicodeCIDFont(name))
    return name
