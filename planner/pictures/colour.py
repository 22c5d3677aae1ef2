"""Colours of cloth, thread and chalk, and whether one can be read on another."""

from __future__ import annotations

from typing import Literal

Showing = Literal["clearly", "softly", "hardly"]

PAPER = "#ffffff"
CHALK = "#ffffff"
CHALK_ON_LIGHT = "#1d4e89"  # blue chalk: the white one cannot be seen on light cloth


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


def mixed(colour: str, other: str, share: float) -> str:
    """``colour`` with ``share`` (0..1) of ``other`` in it."""
    channels = (
        round(int(colour[i : i + 2], 16) * (1 - share) + int(other[i : i + 2], 16) * share) for i in (1, 3, 5)
    )
    return "#" + "".join(f"{channel:02x}" for channel in channels)


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)
