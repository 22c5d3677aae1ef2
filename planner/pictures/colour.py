"""Colours of cloth, thread and chalk, and whether one can be read on another."""

from __future__ import annotations

from collections.abc import Mapping
from math import cbrt, dist
from typing import Literal

Showing = Literal["clearly", "softly", "hardly"]

PAPER = "#ffffff"
CHALK = "#ffffff"
CHALK_ON_LIGHT = "#1d4e89"  # blue chalk: the white one cannot be seen on light cloth
PLAIN: Mapping[
    str, str
] = {  # plain words for colours of cloth and thread, each with the colour it is said of
    "black": "#1b1b1b",
    "dark grey": "#505050",
    "grey": "#8a8a8a",
    "pale grey": "#cccccc",
    "white": "#fcfcfc",
    "cream": "#f5ecd7",
    "beige": "#d9c8a5",
    "tan": "#b38f5d",
    "brown": "#704c30",
    "dark brown": "#3d2a1e",
    "rust": "#a5502a",
    "orange": "#e37f2c",
    "gold": "#d6a23e",
    "yellow": "#f2d94e",
    "olive": "#77753a",
    "pale green": "#b9d6b2",
    "green": "#4b8a4b",
    "dark green": "#22502b",
    "bright green": "#44c944",
    "turquoise": "#45c4c4",
    "teal": "#2e7c7e",
    "pale blue": "#b3cde3",
    "blue": "#2f63ab",
    "navy": "#1f2d52",
    "slate": "#586d7e",
    "dark slate": "#2b4251",
    "lavender": "#baabd8",
    "purple": "#6a4089",
    "plum": "#5a2b4c",
    "pink": "#e59ab3",
    "pale pink": "#f4d5dc",
    "red": "#b8282f",
    "dark red": "#6d1c24",
}


def luminance(colour: str) -> float:
    """Relative luminance 0..1 of ``#rrggbb`` (WCAG 2.2, definition of relative luminance)."""
    red, green, blue = (_linear(int(colour[i : i + 2], 16) / 255) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio 1..21 of two colours (WCAG 2.2, definition of contrast ratio)."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def chalk_for(cloth: str) -> str:
    """White chalk for dark cloth, blue for light: whichever shows better."""
    return max((CHALK, CHALK_ON_LIGHT), key=lambda chalk: contrast(chalk, cloth))


def showing(thread: str, cloth: str) -> Showing:
    """How a line of thread shows on cloth.

    3 is what a line needs to be made out by everybody (WCAG 2.2, 1.4.11); below 1.5 the eye sees the relief only
    (common practice, no source).
    """
    ratio = contrast(thread, cloth)
    return "clearly" if ratio >= 3 else "softly" if ratio >= 1.5 else "hardly"


def on_paper(colour: str) -> str:
    """A thread's colour as it can be seen on white paper: darker, where it is too pale for a line (3 to 1)."""
    while contrast(colour, PAPER) < 3:
        colour = mixed(colour, "#000000", 0.1)
    return colour


def plain_word(colour: str) -> str:
    """What a colour is called: the plain word whose colour comes nearest to the eye (distance in Oklab).

    Lightness counts half: a name is first of all a hue.
    """
    light, *hue = _oklab(colour)
    near = {word: _oklab(of) for word, of in PLAIN.items()}
    return min(near, key=lambda word: dist((light / 2, *hue), (near[word][0] / 2, *near[word][1:])))


def mixed(colour: str, other: str, share: float) -> str:
    """``colour`` with ``share`` (0..1) of ``other`` in it."""
    channels = (
        round(int(colour[i : i + 2], 16) * (1 - share) + int(other[i : i + 2], 16) * share) for i in (1, 3, 5)
    )
    return "#" + "".join(f"{channel:02x}" for channel in channels)


def _oklab(colour: str) -> tuple[float, float, float]:
    """Lightness and two axes of hue, in which distances are as large as they look (Björn Ottosson, Oklab, 2020)."""
    r, g, b = (_linear(int(colour[i : i + 2], 16) / 255) for i in (1, 3, 5))
    long, middle, short = (
        cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b),
        cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b),
        cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b),
    )
    return (
        0.2104542553 * long + 0.7936177850 * middle - 0.0040720468 * short,
        1.9779984951 * long - 2.4285922050 * middle + 0.4505937099 * short,
        0.0259040371 * long + 0.7827717662 * middle - 0.8086757660 * short,
    )


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)
