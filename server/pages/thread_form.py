"""The threads in the workbench's form: a plan's threads as texts, and back; what the buttons beside them do.

Fields are the plan's own dotted names: ``threads.0.colours.1``, ``stitched_with.accents``, ``working.reach_in``.
What is at its default has no text, so that an address stays as short as it was with one thread.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from planner.fills.scattered import parts_of
from planner.fills.styles import FILLS
from planner.plan import Plan, Units
from planner.threads import (
    GOES_WITH,
    MOST_COLOURS,
    MOST_THREADS,
    PART_WORDS,
    PLACES,
    STARTING_POINTS,
    PartName,
    StartingPoint,
    parts_there,
    reordered,
    starting_points,
)
from server.pages.measures import BEFORE, units_named
from server.problems import Trouble

REPEATS = tuple(f"threads.{n}.repeat_in" for n in range(MOST_THREADS))
LENGTHS = (*REPEATS, "carry_in", "working.reach_in")
CHOSEN = ("accents", "travels", "spine", "working.way")  # words of the plan's own
SAID = {  # what the fields are called in a sentence
    **{name: f"the repeat of thread {n}" for n, name in enumerate(REPEATS, 1)},
    **{f"threads.{n}.name": f"the name of thread {n + 1}" for n in range(MOST_THREADS)},
    **{f"threads.{n}.spool": f"the spool of thread {n + 1}" for n in range(MOST_THREADS)},
    **{
        f"threads.{n}.colours.{m}": f"a colour of thread {n + 1}"
        for n in range(MOST_THREADS)
        for m in range(MOST_COLOURS)
    },
    **{f"stitched_with.{part}": f"the thread of the {words}" for part, words in PART_WORDS.items()},
    "carry_in": "the longest carry",
    "accents": "which berries and cones take their own thread",
    "travels": "where a thread may travel",
    "spine": "when the spines are stitched",
    "working.way": "how the quilt lies",
    "working.reach_in": "the reach of the frame",
}
USUAL_REPEAT: dict[Units, str] = {"in": "5 in", "cm": "12 cm", "mm": "120 mm"}
USUAL_REACH: dict[Units, str] = {"in": "18 in", "cm": "46 cm", "mm": "460 mm"}
# A new thread or colour takes the first of these that she has not got: quiet colours of leaves, berries, bark.
SPARE = ("#2a6b3a", "#a32a2a", "#8a5a2b", "#d8a62a", "#6b4a8a", "#2f6f8f", "#c77a8a")


@dataclass(frozen=True)
class Row:
    """One thread in the form: its number from 0, how it is called, its texts, whether it takes a colour more."""

    number: int
    called: str
    name: str
    spool: str
    colours: tuple[str, ...]
    more: bool


@dataclass(frozen=True)
class Choice:
    """One select: which thread stitches a part. options: value, words, number of the thread ("" for none)."""

    field: str
    label: str
    chosen: str
    options: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class ThreadsView:
    """What the form shows of the threads; carried: fields that it only passes on. folded: nothing was asked."""

    rows: tuple[Row, ...]
    choices: tuple[Choice, ...]
    carried: dict[str, str]
    more: bool
    folded: bool
    usual_repeat: str
    usual_reach: str
    begins: tuple[StartingPoint, ...]


def threads_view(values: Mapping[str, str], parts: Sequence[PartName]) -> ThreadsView:
    """The form's threads for its texts. parts: what the fill has, beside its spine and its places."""
    threads = list(_threads_in(values))
    rows = tuple(
        Row(
            n,
            one.get("name") or f"thread {n + 1}",
            one.get("name", ""),
            one.get("spool", ""),
            tuple(_colours(one)),
            len(_colours(one)) < MOST_COLOURS,
        )
        for n, one in enumerate(threads)
    )
    there = parts_there(parts)
    asked = [part for part in PART_WORDS if part in there or values.get(f"stitched_with.{part}")]
    choices = tuple(_choice(part, rows, values.get(f"stitched_with.{part}", ""), asked) for part in asked)
    plain = [name for row, name in zip(rows, REPEATS, strict=False) if len(row.colours) == 1]
    carried = {name: values[name] for name in plain if values.get(name)}
    if len(rows) < 2:
        carried |= {one.field: values[one.field] for one in choices if values.get(one.field)}
        choices = ()
    begins = starting_points(values.get("fill.kind", ""), parts)
    quiet = not any(values.get(name) for name in (*CHOSEN, "carry_in", "working.reach_in"))
    usual = (
        USUAL_REPEAT[units_named(values.get("units", ""))],
        USUAL_REACH[units_named(values.get("units", ""))],
    )
    more, folded = len(rows) < MOST_THREADS, not rows and quiet
    return ThreadsView(rows, choices, carried, more, folded, *usual, begins)


def _choice(part: PartName, rows: Sequence[Row], chosen: str, asked: Sequence[PartName]) -> Choice:
    """The first thread is the one that stitches what is given none; a place without one goes with its own parts,
    and so do cones with berries, where these are asked for too."""
    options = [(str(row.number), row.called, str(row.number)) for row in rows]
    if part in PLACES:
        options.insert(0, ("", "like the rest", ""))
    elif GOES_WITH.get(part) in asked:
        options.insert(0, ("", f"like the {PART_WORDS[GOES_WITH[part]]}", ""))
    elif chosen != "0" and options:
        options[0] = ("", options[0][1], "0")
    return Choice(f"stitched_with.{part}", PART_WORDS[part].capitalize(), chosen, tuple(options))


def thread_values(plan: Plan) -> dict[str, str]:
    """The texts of a plan's threads, but for its lengths."""
    values: dict[str, str] = {}
    for n, thread in enumerate(plan.threads):
        at = f"threads.{n}."
        values |= {f"{at}name": thread.name, f"{at}spool": thread.spool}
        values |= {f"{at}colours.{m}": colour for m, colour in enumerate(thread.colours)}
    values |= {f"stitched_with.{part}": str(thread) for part, thread in plan.stitched_with.items()}
    values["accents"] = "" if plan.accents == "all" else plan.accents
    values["travels"] = "" if plan.travels == "own_lines" else plan.travels
    values["spine"] = plan.spine or ""
    values["working.way"] = "" if plan.working.way == "whole_quilt" else plan.working.way
    values["working.threads_by"] = "on" if plan.working.threads_by == "thread" else ""
    values["working.needle_down"] = "on" if plan.working.needle_down else ""
    return values


def thread_lengths(plan: Plan) -> dict[str, float | None]:
    """The lengths of a plan's threads (inches), by field; None for those it has not."""
    repeats = [thread.repeat_in for thread in plan.threads]
    repeats += [None] * (MOST_THREADS - len(repeats))
    return {
        **dict(zip(REPEATS, repeats, strict=True)),
        "carry_in": plan.carry_in or None,
        "working.reach_in": plan.working.reach_in,
    }


def read_threads(texts: Mapping[str, str], units: Units, troubles: dict[str, Trouble]) -> dict[str, Any]:
    """The plan's fields of the threads, but for their lengths; what is wrong goes to the troubles."""
    threads = list(_threads_in(texts))
    data: dict[str, Any] = {name: texts[name] for name in ("accents", "travels", "spine") if texts.get(name)}
    data["threads"] = [
        {"name": one.get("name", ""), "spool": one.get("spool", ""), "colours": _colours(one)}
        for one in threads
    ]
    data["working"] = {"needle_down": bool(texts.get("working.needle_down"))}
    if texts.get("working.threads_by"):
        data["working"]["threads_by"] = "thread"
    if texts.get("working.way"):
        data["working"]["way"] = texts["working.way"]
    for n, (one, name) in enumerate(zip(threads, REPEATS, strict=False), 1):
        if len(_colours(one)) > 1 and not one.get("repeat_in"):
            troubles[name] = Trouble(
                name,
                f"Thread {n} has several colours: how much thread until they come again?",
                "Pull thread off the spool until the first colour comes again, and measure that length.",
                USUAL_REPEAT[units],
            )
    if texts.get("working.way") == "frame" and not texts.get("working.reach_in"):
        troubles["working.reach_in"] = Trouble(
            "working.reach_in",
            "A frame needs its reach.",
            "Measure from the front bar to the farthest place where the needle still comes.",
            USUAL_REACH[units],
        )
    data["stitched_with"] = _stitched_with(texts, len(threads), troubles)
    return data


def _stitched_with(texts: Mapping[str, str], threads: int, troubles: dict[str, Trouble]) -> dict[str, int]:
    stitched: dict[str, int] = {}
    for part in PART_WORDS:
        name = f"stitched_with.{part}"
        text = texts.get(name, "")
        if text.isdecimal() and int(text) < max(1, threads):
            stitched[part] = int(text)
        elif text:
            troubles[name] = Trouble(
                name, f"There is no such thread for the {PART_WORDS[part]}.", "Choose one that is there."
            )
    return stitched


def thread_field(name: str) -> str:
    """The form's field for the plan's: a thread as a whole is answered for by its repeat, a frame by its reach."""
    parts = name.split(".")
    if parts[0] == "threads" and len(parts) == 2:
        return f"{name}.repeat_in"
    if parts[0] == "threads" and parts[-1] == "colours":
        return f"{name}.0"
    return "working.reach_in" if name == "working" else name


def with_thread_pressed(values: Mapping[str, str], asked: str) -> dict[str, str]:
    """The form's texts after a button of the threads: "add", "away.1", "earlier.1", "colour.0", "plain.0", or
    "begin." and the key of a starting point; else the same.

    From a plan without threads of its own, the look's thread becomes the first.
    """
    what, _, which = asked.partition(".")
    if what == "begin":
        return _begun(values, which)
    threads = list(_threads_in(values))
    if not threads and what in ("add", "colour"):
        threads = [{"colours.0": values.get("look.thread") or SPARE[0]}]
    n = int(which) if which.isdecimal() else 0
    stitched = {name: text for name, text in values.items() if name.startswith("stitched_with.") and text}
    look: dict[str, str] = {}
    if what == "add" and len(threads) < MOST_THREADS:
        threads.append({"colours.0": _spare(threads)})
    elif what == "away" and n < len(threads):
        gone = threads.pop(n)
        look = {} if threads else {"look.thread": gone["colours.0"]}
        stitched = {
            name: str(int(text) - (int(text) > n))
            for name, text in stitched.items()
            if text.isdecimal() and int(text) != n and threads
        }
    elif what == "earlier" and 0 < n < len(threads):
        threads[n - 1 : n + 1] = threads[n], threads[n - 1]
        stitched = _moved(values, stitched, n)
    elif what == "colour" and n < len(threads) and len(_colours(threads[n])) < MOST_COLOURS:
        threads[n][f"colours.{len(_colours(threads[n]))}"] = _spare(threads)
        threads[n]["repeat_in"] = (
            threads[n].get("repeat_in") or USUAL_REPEAT[units_named(values.get("units", ""))]
        )
    elif what == "plain" and n < len(threads) and len(_colours(threads[n])) > 1:
        del threads[n][f"colours.{len(_colours(threads[n])) - 1}"]
        if len(_colours(threads[n])) == 1:
            threads[n]["repeat_in"] = ""
    else:
        return dict(values)
    rest = {name: text for name, text in values.items() if not _of_threads(name)}
    return rest | look | stitched | _texts_of(threads)


def _moved(values: Mapping[str, str], stitched: Mapping[str, str], n: int) -> dict[str, str]:
    """What each part is stitched with when thread n has changed places with the one before it."""
    order = [*range(n - 1), n, n - 1, *range(n + 1, MOST_THREADS)]
    fill = FILLS.get(values.get("fill.kind", ""))
    given = {
        part: int(text)
        for part in PART_WORDS
        if (text := stitched.get(f"stitched_with.{part}", "")).isdecimal() and int(text) < MOST_THREADS
    }
    now = reordered(given, order, parts_of(fill, values.get("scattered", "")) if fill else ())
    return {f"stitched_with.{part}": str(thread) for part, thread in now.items()}


def _begun(values: Mapping[str, str], key: str) -> dict[str, str]:
    """The form's texts with the threads of a starting point, and nothing of those before."""
    begin = next((one for one in STARTING_POINTS if one.key == key), None)
    if begin is None:
        return dict(values)
    rest = {name: text for name, text in values.items() if not _of_threads(name) and name != "accents"}
    threads: list[dict[str, str]] = []
    for one in begin.threads:
        colours = {f"colours.{m}": colour for m, colour in enumerate(one.colours)}
        repeat = USUAL_REPEAT[units_named(values.get("units", ""))] if one.repeat_in else ""
        threads.append({"name": one.name, **colours, "repeat_in": repeat})
    stitched = {f"stitched_with.{part}": str(thread) for part, thread in begin.stitched_with.items()}
    travels = "" if begin.travels == "own_lines" else begin.travels
    return rest | {"travels": travels} | stitched | _texts_of(threads)


def _of_threads(name: str) -> bool:
    return name.removeprefix(BEFORE).startswith(("threads.", "stitched_with."))


def _threads_in(texts: Mapping[str, str]) -> Iterator[dict[str, str]]:
    """The texts of each thread, by what comes after its number; a thread is one that has a first colour."""
    for n in range(MOST_THREADS):
        at = f"threads.{n}."
        if not texts.get(f"{at}colours.0"):
            return
        one = {name.removeprefix(at): text for name, text in texts.items() if name.startswith(at)}
        yield one | {"before": texts.get(f"{BEFORE}{at}repeat_in", "")}


def _texts_of(threads: list[dict[str, str]]) -> dict[str, str]:
    """The other way round."""
    texts: dict[str, str] = {}
    for n, one in enumerate(threads):
        at = f"threads.{n}."
        texts |= {at + name: text for name, text in one.items() if name != "before"}
        if one.get("before"):
            texts[f"{BEFORE}{at}repeat_in"] = one["before"]
    return texts


def _colours(one: Mapping[str, str]) -> list[str]:
    """The colours of one thread, as far as they follow each other."""
    colours: list[str] = []
    for m in range(MOST_COLOURS):
        if not one.get(f"colours.{m}"):
            break
        colours.append(one[f"colours.{m}"])
    return colours


def _spare(threads: list[dict[str, str]]) -> str:
    """A colour that none of the threads has."""
    taken = {colour.lower() for one in threads for colour in _colours(one)}
    return next((colour for colour in SPARE if colour not in taken), SPARE[len(taken) % len(SPARE)])
