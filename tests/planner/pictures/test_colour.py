"""What a colour is called, against the names that CSS gives to colours (CSS Color Module Level 4, 6.1)."""

from __future__ import annotations

import pytest

from planner.pictures.colour import PLAIN, plain_word

CSS = {
    "black": "#000000",
    "white": "#ffffff",
    "grey": "#808080",
    "red": "#ff0000",
    "dark red": "#8b0000",
    "yellow": "#ffff00",
    "gold": "#daa520",  # goldenrod
    "olive": "#808000",
    "green": "#228b22",  # forestgreen
    "dark green": "#006400",
    "teal": "#008080",
    "turquoise": "#40e0d0",
    "blue": "#4169e1",  # royalblue
    "pale blue": "#add8e6",  # lightblue
    "navy": "#000080",
    "dark slate": "#2f4f4f",  # darkslategray
    "slate": "#708090",  # slategray
    "purple": "#800080",
    "pink": "#ff69b4",  # hotpink
    "pale pink": "#ffc0cb",  # pink
    "beige": "#deb887",  # burlywood
    "cream": "#faebd7",  # antiquewhite
    "orange": "#ff8c00",  # darkorange
    "rust": "#a0522d",  # sienna
}


@pytest.mark.parametrize(("word", "colour"), CSS.items())
def test_a_colour_has_the_plain_word_that_it_is_known_by(word: str, colour: str) -> None:
    assert plain_word(colour) == word


def test_each_word_is_said_of_its_own_colour() -> None:
    assert {plain_word(colour): colour for colour in PLAIN.values()} == dict(PLAIN)
