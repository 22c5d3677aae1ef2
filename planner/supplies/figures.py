"""How each figure of the basis is asked for: its question, its limits, and the source of its default."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from planner.lengths import finer_length, format_length
from planner.plan import Units
from planner.supplies.thread import BOBBINS
from planner.supplies.yarn import NUMBERINGS

Kind = Literal["length", "number", "percent", "money", "choice", "sign"]
Group = Literal["thread", "time", "cloth", "batting", "price"]

PRACTICE = "common practice, no source"
MEMORY = "from memory, no source"
HERS = "yours; blank for none"  # no usual figure, and no source


@dataclass(frozen=True, slots=True)
class Figure:
    """One question. low, high: limits in inches, parts of 1 or numbers; choices: value and label.

    source: where its usual figure comes from; hint: what is said beside it.
    """

    group: Group
    label: str
    kind: Kind
    low: float
    high: float
    source: str
    choices: dict[str, str]
    hint: str = ""


def _asked(
    group: Group, label: str, kind: Kind, low: float, high: float, source: str = PRACTICE, hint: str = ""
) -> Figure:
    return Figure(group, label, kind, low, high, source, {}, HERS if source == HERS else hint)


def _choice(
    group: Group, label: str, choices: dict[str, str], source: str = PRACTICE, hint: str = ""
) -> Figure:
    return Figure(group, label, "choice", 0, 0, source, choices, hint)


_BORDERS = {"unsaid": "not said yet", "cut": "still to cut", "on": "sewn on already"}
_SYSTEMS: dict[str, str] = {system: numbering.label for system, numbering in NUMBERINGS.items()}
_BOBBINS: dict[str, str] = {kind: bobbin.label for kind, bobbin in BOBBINS.items()}
_CUT = {"across": "across the cloth", "along": "along the selvage"}
_BINDING = {"straight": "strips across the cloth", "bias": "bias, from a square"}
_SHRINK = {"add": "adding it: 5 % is × 1.05", "finish": "ending at size: 5 % is ÷ 0.95"}

FIGURES: dict[str, Figure] = {
    "stitches_per_inch": _asked(
        "thread", "Stitches an inch", "number", 2, 30, "10 to 11 on average: a machine maker's article"
    ),
    "thickness_in": _asked("thread", "Quilt's thickness pressed under the foot", "length", 1 / 64, 1),
    "needle_number": _asked("thread", "Needle thread's number", "number", 0.1, 100_000),
    "needle_system": _choice("thread", "Needle thread numbered in", _SYSTEMS),
    "bobbin_number": _asked("thread", "Bobbin thread's number", "number", 0.1, 100_000),
    "bobbin_system": _choice("thread", "Bobbin thread numbered in", _SYSTEMS),
    "bobbin": _choice("thread", "Bobbin", _BOBBINS, "sizes: sewingpartsonline.com, 2023"),
    "bobbins": _choice("thread", "Bobbins are", {"wound": "wound by myself", "bought": "bought wound"}),
    "bulk_g_cm3": _asked(
        "thread", "Grams of thread in 1 cm³ of winding", "number", 0.1, 2, f"{MEMORY}: fits bought bobbins"
    ),
    "winding": _asked(
        "thread", "My own winding holds, of a bought one", "percent", 0.1, 1, f"{MEMORY}: half to two thirds"
    ),
    "tail_in": _asked("thread", "Tail left at each end of each thread", "length", 0, 40),
    "waste": _asked(
        "thread",
        "Added for breaks and samples",
        "percent",
        0,
        1,
        "10 to 15 %: apparelscience.com; 15 to 20 %: A&E",
    ),
    "spool_in": _asked(
        "thread", "A spool or cone holds", "length", 360, 2_000_000, f"{MEMORY}: 1,000 to 3,000 yd"
    ),
    "stitches_per_minute": _asked(
        "time",
        "Machine's stitches a minute",
        "number",
        50,
        6000,
        "1,000 to 1,200 at home: bdtextilemates, 2022",
    ),
    "hand_quick_in": _asked("time", "My hand in a second, on a good day", "length", 0.05, 20),
    "hand_slow_in": _asked("time", "My hand in a second, on a slow day", "length", 0.05, 20),
    "timed_in": _asked("time", "A piece I timed: length stitched", "length", 0, 100_000, HERS),
    "timed_minutes": _asked("time", "A piece I timed: minutes, pauses included", "number", 0, 100_000, HERS),
    "start_minutes": _asked("time", "Minutes to start, stop and bury the ends", "number", 0, 60),
    "carry_minutes": _asked("time", "Minutes to carry the thread on, and clip it later", "number", 0, 60),
    "bobbin_minutes": _asked("time", "Minutes to change a bobbin", "number", 0, 60),
    "circle_minutes": _asked("time", "Minutes to chalk a circle", "number", 0, 60),
    "guide_minutes": _asked("time", "Minutes to chalk a guide line", "number", 0, 60),
    "marking_in": _asked("time", "Spine chalked in a second", "length", 0.05, 20),
    "borders": _choice(
        "cloth",
        "Borders are",
        _BORDERS,
        hint="until you say, cloth is counted for them; none for what is sewn on",
    ),
    "cloth_width_in": _asked(
        "cloth",
        "Usable width of the cloth, before it is washed",
        "length",
        8,
        240,
        "40 in: castillejacotton, 2013; others 42 in",
    ),
    "border_corner": _choice("cloth", "Border corners", {"mitered": "mitered", "straight": "straight"}),
    "border_grain": _choice("cloth", "Border strips cut", _CUT),
    "seam_in": _asked("cloth", "Seam allowance", "length", 0, 1, "1/4 in is usual: quiltsbyjen.ca"),
    "miter_extra_in": _asked("cloth", "Extra at each end of a mitered strip", "length", 0, 12),
    "binding_cut": _choice("cloth", "Binding", _BINDING),
    "binding_strip_in": _asked(
        "cloth", "Binding strip, cut width", "length", 0.75, 8, "2 1/4 and 2 1/2 in are usual: quiltsbyjen.ca"
    ),
    "trimmed_in": _asked(
        "cloth",
        "Batting and backing trimmed beyond the top",
        "length",
        0,
        2,
        PRACTICE,
        "even with the top; farther out, the binding shows wider",
    ),
    "binding_allowance_in": _asked(
        "cloth", "Binding for corners and closing", "length", 0, 60, "12 in: suite101, 2009"
    ),
    "binding_join_in": _asked(
        "cloth",
        "Binding lost at a slanted join",
        "length",
        0,
        7,
        "2 in: castillejacotton, 2013; here a strip's width",
    ),
    "backing_width_in": _asked(
        "cloth",
        "Usable width of the backing cloth, before it is washed",
        "length",
        8,
        240,
        "40 in: castillejacotton, 2013",
    ),
    "backing_overhang_in": _asked(
        "cloth", "Backing beyond the quilt, each side", "length", 0, 24, "4 in for a frame: sewberrychic.com"
    ),
    "backing_seam_in": _asked("cloth", "Seam allowance of the backing", "length", 0, 2),
    "shrinkage": _asked(
        "cloth", "Cloth shrinks by", "percent", 0, 0.3, "5 %: Beginner's Guide to Quilting, UK, 2020"
    ),
    "shrink_rule": _choice(
        "cloth", "Shrinkage reckoned by", _SHRINK, "adding: Beginner's Guide to Quilting, UK, 2020"
    ),
    "batting_overhang_in": _asked(
        "batting", "Batting beyond the quilt, each side", "length", 0, 24, "3 to 4 in: thequilterstouch.com"
    ),
    "batting_limit_in": _asked(
        "batting", "Widest open place it allows", "length", 0.5, 20, hint="it stands on the packet"
    ),
    "currency": Figure("price", "Your money's sign", "sign", 0, 0, HERS, {}, "such as $, £, € or kr"),
    "cloth_each": _asked("price", "Cloth for {length}", "money", 0, 1_000_000, HERS),
    "rate": _choice(
        "price", "Quilting charged", {"hour": "by the hour", "square_inch": "by the square inch"}
    ),
    "each": _asked("price", "Charge for each hour or square inch", "money", 0, 1_000_000, HERS),
    "materials": _asked("price", "Other materials", "money", 0, 1_000_000, HERS),
    "minimum": _asked("price", "Never less than", "money", 0, 1_000_000, HERS),
}


def _metric_sources(units: Units) -> dict[str, str]:
    """Where the usual figure of those who measure in centimetres is another than that of the source in inches."""

    def say(cm: float) -> str:
        return finer_length(cm / 2.54, units)

    cloth = f"{say(110)} cloth without its selvages: {PRACTICE}"
    return {
        "stitches_per_inch": (
            f"stitches of {say(0.25)} are 10, of {say(0.2)} 13; {FIGURES['stitches_per_inch'].source}"
        ),
        "cloth_width_in": cloth,
        "backing_width_in": cloth,
        "seam_in": f"{say(0.75)} is usual in metric patterns: {PRACTICE}",
        "binding_strip_in": f"{say(6)} and {say(6.5)} are usual: {PRACTICE}",
        "binding_allowance_in": PRACTICE,
        "binding_join_in": "a strip's width",
        "backing_overhang_in": f"{say(10)} for a frame: {PRACTICE}",
        "batting_overhang_in": f"{say(8)} to {say(10)}: {PRACTICE}",
        "spool_in": f"{MEMORY}: 1,000 to 5,000 m",
    }


def source_of(name: str, units: Units) -> str:
    """Where the usual figure comes from."""
    return FIGURES[name].source if units == "in" else _metric_sources(units).get(name, FIGURES[name].source)


def label_of(name: str, units: Units) -> str:
    """The question, in her units."""
    return FIGURES[name].label.format(length="a yard" if units == "in" else "a metre")


def figure_in_words(name: str, value: Any, units: Units) -> str:
    """A figure as shown to her: "2 1/2 in", "15 %", "mitered", "3,000 yd"."""
    figure = FIGURES[name]
    match figure.kind:
        case "length":
            return length_words(value, units)
        case "percent":
            return f"{100 * value:g} %"
        case "choice":
            return figure.choices[value]
        case _:
            return f"{value:g}"


def length_words(value_in: float, units: Units) -> str:
    """Any length of the basis: from thicknesses finer than a ruler's marks to the yards on a cone."""
    if value_in >= 360:
        return f"{value_in / 36:,.0f} yd" if units == "in" else f"{value_in * 0.0254:,.0f} m"
    return finer_length(value_in, units) if value_in < 2 else format_length(value_in, units)
