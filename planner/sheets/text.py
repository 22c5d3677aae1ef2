"""Words on paper in any script, with no font file from outside.

Latin text is set in Helvetica, which every PDF reader has. A Latin letter that Helvetica's encoding lacks
(ř, ő, ż) is set as its plain letter with the accent drawn over it. Japanese, Chinese and Korean, and Greek
and Cyrillic with them, use the fonts that PDF readers bring for those scripts (not embedded; poppler needs
poppler-data for them). What nothing covers is set as its plain form, or as "?".
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.cidfonts import UnicodeCIDFont
from reportlab.pdfgen.canvas import Canvas

from planner.lengths import unbroken
from planner.sheets.drawing import Anchor

PLAIN, BOLD = "Helvetica", "Helvetica-Bold"
# script fonts, in the order they are tried, with a codec that tells what each of them covers
SCRIPT_FONTS = (
    ("HeiseiKakuGo-W5", "shift_jis"),
    ("STSong-Light", "gb2312"),
    ("HYSMyeongJo-Medium", "euc_kr"),
)
# combining mark -> spacing accent of the same shape; those not in Helvetica's encoding are in Vera,
# which comes with the PDF writer and is embedded
ACCENTS = {
    "\u0300": "`",
    "\u0301": "´",
    "\u0302": "ˆ",
    "\u0303": "˜",
    "\u0304": "¯",
    "\u0306": "˘",
    "\u0307": "˙",
    "\u0308": "¨",
    "\u030a": "˚",
    "\u030b": "˝",
    "\u030c": "ˇ",
    "\u0326": ",",
    "\u0327": "¸",
    "\u0328": "˛",
}
BELOW = {"\u0326", "\u0327", "\u0328"}
CAPITAL_RISE = 0.2  # of the letter size: how far capitals lift their accent
LETTERS = {"ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "ħ": "h", "ı": "i", "ŋ": "n", "ς": "σ"}


@dataclass(frozen=True, slots=True)
class Glyphs:
    """Text in one font. advance: whether the next text stands after it; shift, rise: shares of the size."""

    font: str
    text: str
    advance: bool = True
    shift: float = 0.0
    rise: float = 0.0


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
        canvas.drawString(x + part.shift * size, y + part.rise * size, part.text)
        if part.advance:
            x += pdfmetrics.stringWidth(part.text, part.font, size)


def width(text: str, size: float, *, bold: bool = False) -> float:
    """Length of a line of text, points."""
    parts = (part for part in _glyphs(text, bold) if part.advance)
    return float(sum(pdfmetrics.stringWidth(part.text, part.font, size) for part in parts))


def wrap(text: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """Lines no longer than ``room`` points; a length is kept on one line, a word longer than a line is broken."""
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


def _glyphs(text: str, bold: bool) -> list[Glyphs]:
    """The text cut where its font changes."""
    parts: list[Glyphs] = []
    for char in unicodedata.normalize("NFC", text):
        for glyph in _char(char, bold):
            last = parts[-1] if parts else None
            if last and last.font == glyph.font and last.advance and glyph.advance and not glyph.shift:
                parts[-1] = Glyphs(last.font, last.text + glyph.text)
            else:
                parts.append(glyph)
    return parts


def _char(char: str, bold: bool) -> list[Glyphs]:
    latin = BOLD if bold else PLAIN
    if not char.isprintable():
        return [Glyphs(latin, " ")]
    if _covers("cp1252", char):
        return [Glyphs(latin, char)]
    base, *marks = list(unicodedata.normalize("NFD", char))
    if marks and _covers("cp1252", base) and all(mark in ACCENTS for mark in marks):
        return [Glyphs(latin, base), *(_accent(base, mark, latin) for mark in marks)]
    if char in LETTERS:
        return _char(LETTERS[char], bold)
    for font, codec in SCRIPT_FONTS:
        if _covers(codec, char):
            return [Glyphs(_script_font(font), char)]
    if marks:
        return _char(base, bold)
    plain = "".join(
        c for c in unicodedata.normalize("NFKD", char) if _covers("cp1252", c) and c.isprintable()
    )
    return [Glyphs(latin, plain or "?")]


def _accent(base: str, mark: str, latin: str) -> Glyphs:
    """The accent set back over the middle of the letter just written."""
    accent = ACCENTS[mark]
    font = latin if _covers("cp1252", accent) else _vera()
    letter, own = pdfmetrics.stringWidth(base, latin, 1), pdfmetrics.stringWidth(accent, font, 1)
    rise = -0.02 if mark in BELOW else CAPITAL_RISE if base.isupper() or base in "bdfhklt" else 0.0
    return Glyphs(font, accent, advance=False, shift=-(letter + own) / 2, rise=rise)


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


@cache
def _vera() -> str:
    from reportlab.pdfbase.ttfonts import TTFont

    pdfmetrics.registerFont(TTFont("Vera", "Vera.ttf"))
    return "Vera"
