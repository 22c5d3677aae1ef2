"""Between the workbench form and the plan: text as she typed it in, a plan or what is wrong with it out.

Field names are the plan's own dotted names. A field left empty takes its default; ``border`` stands for all
four border widths unless one of them is given by itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from planner.errors import PlanError
from planner.fit import fit
from planner.lengths import parse_length
from planner.plan import LARGEST_QUILT_IN, LARGEST_TIN, SIDES, Choice, Drift, Fill, Look, Plan, Units
from planner.supplies.figures import FIGURES
from server.pages import thread_form
from server.pages.measures import BEFORE, before_switch, printed, switched, tin_pieces, units_named
from server.pages.offered import offered
from server.problems import Trouble, troubles_of

BASIS = "basis."  # before a figure of what a plan takes: the plan has a binding allowance too
SIDE_FIELDS = tuple(f"sides_in.{side}" for side in SIDES)
BORDER_FIELDS = tuple(f"border_in.{side}" for side in SIDES)
FILL_FIELDS = tuple(f"fill.{need}" for need in Fill.model_fields if need.endswith("_in"))
EASE_FIELDS = ("ease_limits.lift_in", "ease_limits.gap_in", "strip_spacing_in", "centre_apart_in")
LENGTH_FIELDS = (
    *(*SIDE_FIELDS, "border", *BORDER_FIELDS, "binding_allowance_in"),
    *(*FILL_FIELDS, *EASE_FIELDS, *thread_form.LENGTHS),
)
WORD_FIELDS = (
    "name",
    "units",
    "fill.kind",
    "fill.density",
    "corner",
    "corner_motif",
    "background",
    "scattered",
    "meeting",
    "run",
    "look.cloth",
    "look.border",
    "look.thread",
)
NUMBER_FIELDS = {"tail_deg": float, "seed": int}

LABELS = {
    **{f"sides_in.{side}": f"the {side} side" for side in SIDES},
    **{f"border_in.{side}": f"the {side} border" for side in SIDES},
    "border": "the border width",
    "binding_allowance_in": "the binding allowance",
    "fill.room_in": "the room for the fill",
    "fill.longest_in": "the longest shape of the fill",
    "fill.smallest_curl_in": "the smallest curl",
    "fill.smallest_feature_in": "the narrowest shape of the fill",
    "ease_limits.lift_in": "the largest lift",
    "strip_spacing_in": "the spacing of a seam strip's lines",
    "centre_apart_in": "the spacing of the lines in the centre",
    "ease_limits.gap_in": "the largest gap",
    "tin_in": "the tin of templates",
    "tail_deg": "the tail",
    "name": "the name",
    "seed": "the variation",
    "look.cloth": "the colour of the centre",
    "look.border": "the colour of the border",
    "look.thread": "the colour of the thread",
    **{name: f"“{one.label}”" for name, one in offered().items()},
    **thread_form.SAID,
}

LONGEST_LENGTH = 40
LONGEST_TYPED = 400  # the tin takes that much


@dataclass(frozen=True)
class FilledForm:
    """What a form came to: a plan, or what is missing and what is wrong by field; the texts to show again."""

    plan: Plan | None
    values: dict[str, str]
    troubles: dict[str, Trouble] = field(default_factory=dict)
    missing: tuple[str, ...] = ()


def values_of(plan: Plan) -> dict[str, str]:
    """The form's texts for a plan: as typed where she typed it, printed in her units elsewhere."""
    whole = plan.model_dump(mode="json")
    values = {name: str(_at(whole, name)) for name in (*WORD_FIELDS, *NUMBER_FIELDS)}
    values |= thread_form.thread_values(plan)
    threads_in = thread_form.thread_lengths(plan)
    values["tail_deg"] = repr(plan.tail_deg).removesuffix(".0")
    for name in (*LENGTH_FIELDS, "tin_in"):
        found = (
            threads_in[name]
            if name in threads_in
            else _at(whole, "border_in.top" if name == "border" else name)
        )
        lengths = found if isinstance(found, list) else [] if found is None else [found]
        if name in BORDER_FIELDS and found == plan.border_in.top:
            values[name] = ""
        elif name in plan.typed:
            values[name] = plan.typed[name]
        else:
            values |= printed(name, lengths, plan.units)
    values["cut_own"] = "on" if plan.cut_own else ""
    values["choice"] = choice_text(plan.choice) if plan.choice else ""
    values |= {BASIS + name: plan.answers[name] for name in FIGURES if name in plan.answers}
    return values | {name: text for name, text in plan.typed.items() if name.startswith(BEFORE)}


def read(values: Mapping[str, str]) -> FilledForm:
    """Make a plan of the form's texts; never raises."""
    texts = {name: fit(text).strip()[:2000] for name, text in values.items()}
    troubles: dict[str, Trouble] = {}
    units = units_named(texts.get("units", ""))
    data: dict[str, Any] = {"cut_own": bool(texts.get("cut_own")), "typed": _typed(texts, units)}
    for name in WORD_FIELDS:
        if texts.get(name):
            _put(data, name, texts[name])
    for name, number in NUMBER_FIELDS.items():
        if texts.get(name):
            try:
                _put(data, name, number(texts[name].replace(",", ".")))
            except ValueError:
                troubles[name] = Trouble(
                    name, f"“{texts[name]}” is not a number.", "Write a number such as 90."
                )
    data["answers"] = {
        name: texts[BASIS + name]
        for name in FIGURES
        if 0 < len(texts.get(BASIS + name, "")) <= LONGEST_LENGTH
    }
    data |= thread_form.read_threads(texts, units, troubles)
    for name in LENGTH_FIELDS:
        if name == "border" or (name in thread_form.REPEATS[len(data["threads"]) :]):
            continue
        field = name if texts.get(name) else "border" if name in BORDER_FIELDS else name
        if texts.get(field):
            text, theirs = before_switch(field, texts, units) or (texts[field], units)
            _put_length(data, name, field, text, theirs, troubles)
    text, theirs = before_switch("tin_in", texts, units) or (texts.get("tin_in", ""), units)
    data["tin_in"] = _tin(text, theirs, troubles)
    if texts.get("choice"):
        data["choice"] = choice_from(texts["choice"])
    missing = tuple(name for name in (*SIDE_FIELDS, "border") if not _was_typed(name, texts))
    if missing or troubles:
        return FilledForm(None, texts, troubles, missing)
    try:
        plan = Plan.model_validate(data)
        return FilledForm(plan.model_copy(update={"typed": _worth_keeping(plan)}), texts)
    except ValidationError as error:
        for trouble in troubles_of(error.errors(), LABELS):
            name = _form_field(trouble.field, texts)
            found = _as_offered(name, texts) or Trouble(name, trouble.message, trouble.cure)
            troubles.setdefault(name, _or_smaller(found, texts, units))
        return FilledForm(None, texts, troubles)


def _as_offered(name: str, texts: Mapping[str, str]) -> Trouble | None:
    """What is wrong with a word that a list of the form does not have, in the words that it has."""
    field = offered().get(name)
    if field is None:
        return None
    *words, last = (f"“{word}”" for word in field.words.values())
    message = f"“{field.label}” has no “{texts.get(name, '')[:LONGEST_LENGTH]}”."
    return Trouble(name, message, f"Choose {', '.join(words)} or {last}.")


def _or_smaller(trouble: Trouble, texts: Mapping[str, str], units: Units) -> Trouble:
    """The trouble of a length that is too long, and in the next smaller unit just one: she may have meant that."""
    if units == "mm" or trouble.field not in LENGTH_FIELDS:
        return trouble
    smaller: Units = "cm" if units == "in" else "mm"
    with suppress(PlanError):
        text = texts.get(trouble.field, "")
        length, one = parse_length(text, units), parse_length("1", units)
        meant = f"{length / one:.6g} {smaller}"
        if length > LARGEST_QUILT_IN >= parse_length(meant, units):
            return Trouble(trouble.field, trouble.message, f"Did you mean {meant}?", meant)
    return trouble


def with_trouble(reading: FilledForm, error: PlanError) -> FilledForm:
    """The reading after the planner refused its plan."""
    name = _form_field(error.field, reading.values)
    return FilledForm(None, reading.values, {name: Trouble(name, error.message, error.cure, error.instead)})


def choice_text(choice: Choice) -> str:
    """A choice as one word for a button's value."""
    counts = "-".join(str(choice.counts.of(side)) for side in SIDES)
    corner = "" if choice.corner_diameter_in is None else repr(choice.corner_diameter_in)
    diameters = f"{corner},{choice.run_diameter_in!r}"
    text = f"{diameters},{choice.meeting or ''},{choice.middle_in!r},{counts}"
    drifts = "_".join(map(_drift_text, choice.drifts))
    if choice.room_in is None:
        return f"{text},,0.0,,{drifts}" if drifts else text
    middles = "_".join(repr(choice.middle_of(side)) for side in SIDES) if choice.middles_in else ""
    text = f"{text},{choice.room_in!r},{choice.strip_in!r},{middles}"
    return f"{text},{drifts}" if drifts else text


def choice_from(text: str) -> Choice | None:
    """Read ``choice_text`` back; None when it is damaged (the first proposal is shown then)."""
    try:
        corner, run, meeting, middle, counts, *more = text.split(",")
        room, strip, middles, *drifts = more or ("", "0", "")
        return Choice.model_validate(
            {
                "corner_diameter_in": float(corner) if corner else None,
                "run_diameter_in": float(run),
                "meeting": meeting or None,
                "middle_in": float(middle),
                "counts": dict(zip(SIDES, map(int, counts.split("-")), strict=True)),
                "room_in": float(room) if room else None,
                "strip_in": float(strip),
                "middles_in": dict(zip(SIDES, map(float, middles.split("_")), strict=True))
                if middles
                else None,
                "drifts": tuple(map(_drift_from, drifts[0].split("_"))) if drifts else (),
            }
        )
    except ValueError:
        return None


def _drift_text(drift: Drift) -> str:
    return f"{drift.side}-{'far' if drift.from_far_end else ''}{drift.curl}-{drift.by_in!r}"


def _drift_from(text: str) -> Drift:
    side, curl, by = text.split("-", 2)
    far, curl = curl.startswith("far"), curl.removeprefix("far")
    return Drift.model_validate({"side": side, "curl": int(curl), "by_in": float(by), "from_far_end": far})


def in_units(values: Mapping[str, str], units: Units) -> dict[str, str]:
    """The same form with its lengths in other units; what cannot be read stays as it was typed."""
    were = units_named(values.get("units", ""))
    texts = {name: fit(text).strip() for name, text in values.items()}
    turned = {**values, "units": units}
    for name in (*LENGTH_FIELDS, "tin_in"):
        turned |= switched(name, texts, were, units)
    return turned


def _tin(text: str, units: Units, troubles: dict[str, Trouble]) -> list[float]:
    diameters: list[float] = []
    if len(text) > LONGEST_LENGTH * LARGEST_TIN:
        words = f"That is more than the {LARGEST_TIN} circles a tin can hold."
        troubles["tin_in"] = Trouble("tin_in", words, "Name those you would chalk with.")
        return diameters
    for piece in tin_pieces(text):
        try:
            diameters.append(parse_length(piece, units))
        except PlanError as error:
            troubles.setdefault("tin_in", Trouble("tin_in", error.message, error.cure))
    return diameters


def _put_length(
    data: dict[str, Any], name: str, field: str, text: str, units: Units, troubles: dict[str, Trouble]
) -> None:
    try:
        _put(data, name, parse_length(text, units))
    except PlanError as error:
        troubles.setdefault(field, Trouble(field, error.message, error.cure))


def _form_field(name: str, texts: Mapping[str, str]) -> str:
    """The form's field for the plan's: trouble with a border side is ``border``'s when that was typed."""
    if name.startswith("tin_in"):
        return "tin_in"
    if name.startswith("border_in") and not texts.get(name):
        return "border"
    return thread_form.thread_field(name)


def _was_typed(name: str, texts: Mapping[str, str]) -> bool:
    """Whether a needed length was typed; the one border width may be left out where all four are given."""
    return bool(texts.get(name)) or (name == "border" and all(texts.get(one) for one in BORDER_FIELDS))


def _typed(texts: Mapping[str, str], units: Units) -> dict[str, str]:
    typed = {name: texts.get(name, "") for name in (*LENGTH_FIELDS, "tin_in")}
    for name in tuple(typed):
        if before_switch(name, texts, units):
            typed[BEFORE + name] = texts[BEFORE + name]
    return {name: text for name, text in typed.items() if 0 < len(text) <= LONGEST_TYPED}


def _worth_keeping(plan: Plan) -> dict[str, str]:
    """What she typed, without what the program would print in just the same way."""
    plain = values_of(plan.model_copy(update={"typed": {}}))
    return {name: text for name, text in plan.typed.items() if text != plain.get(name)}


def _at(data: Mapping[str, Any], name: str) -> Any:
    value: Any = data
    for part in name.split("."):
        value = value[part]
    return value


def _put(data: dict[str, Any], name: str, value: Any) -> None:
    *parents, last = name.split(".")
    for part in parents:
        data = data[int(part)] if isinstance(data, list) else data.setdefault(part, {})
    data[last] = value


def look_of_form(texts: Mapping[str, str]) -> Look:
    """The colours that a form's pages wear: the thread is her first one, where she described threads."""
    first = {"look.thread": texts["threads.0.colours.0"]} if texts.get("threads.0.colours.0") else {}
    worn = {**texts, **first}
    return look_of({name: worn.get(f"look.{name}", "") for name in Look.model_fields})


def look_of(texts: Mapping[str, str]) -> Look:
    """The colours in ``texts``; whatever is no colour keeps its default."""
    wanted = {name: texts[name] for name in Look.model_fields if texts.get(name)}
    try:
        return Look.model_validate(wanted)
    except ValueError:
        return Look()
