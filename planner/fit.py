"""Words that somebody typed, made fit once, at the door, for whatever they will be written into."""

from __future__ import annotations

import re
from typing import Any

# What XML 1.0 cannot hold (2.2): control characters, halves of surrogate pairs, the two last of each plane. What
# breaks a line of text (also in a DXF, a PDF string, a file's name) goes with them; a joined emoji stays joined.
_UNFIT = re.compile(
    "[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufdd0-\ufdef"
    + "".join(f"{chr(plane + 0xFFFE)}{chr(plane + 0xFFFF)}" for plane in range(0, 0x110000, 0x10000))
    + "]"
)


def fit(words: Any) -> Any:
    """Text without what a page, a drawing or a sheet cannot hold: a space for each, so that it is as long as it was
    and a bound of letters means the same before and after. What is no text stays.
    """
    return _UNFIT.sub(" ", words) if isinstance(words, str) else words
