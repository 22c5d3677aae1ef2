"""The plan that an address carries: every page beside the workbench takes it from there and passes it on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode

from planner.demo import demo_plan
from planner.plan import Plan
from server.pages.forms import LABELS, read, values_of
from server.problems import Trouble


@dataclass(frozen=True)
class PlanAddress:
    """A plan, or what is wrong or missing in the address; and the texts that carry it on."""

    plan: Plan | None
    texts: dict[str, str]
    troubles: dict[str, Trouble] = field(default_factory=dict)

    @property
    def back(self) -> str:
        """The workbench with this plan."""
        return "/?" + urlencode(self.texts)

    @property
    def name(self) -> str:
        """The plan's name as it was typed, '' for none."""
        return self.texts.get("name", "")


def plan_address(texts: Mapping[str, str]) -> PlanAddress:
    """Read the plan out of an address; the demo plan where it carries none."""
    if not any(name.startswith("sides_in.") for name in texts):
        plan = demo_plan()
        return PlanAddress(plan, query_of(plan))
    reading = read(texts)
    if reading.plan is not None:
        return PlanAddress(reading.plan, query_of(reading.plan) | origin(texts))
    troubles = dict(reading.troubles)
    for name in reading.missing:
        words = f"Still to measure: {LABELS.get(name, name)}."
        troubles.setdefault(name, Trouble(name, words, "Go back to the plan and fill it in."))
    return PlanAddress(None, {name: text for name, text in texts.items() if text}, troubles)


def query_of(plan: Plan) -> dict[str, str]:
    """The form's texts that are not empty: all that a link has to carry."""
    return {name: text for name, text in values_of(plan).items() if text}


def origin(texts: Mapping[str, str]) -> dict[str, str]:
    """Which saved plan an address is about, so that a save after the way back is its next version."""
    return {name: texts[name] for name in ("plan", "version", "onto") if texts.get(name)}


def under(prefix: str, texts: Mapping[str, str]) -> dict[str, str]:
    """The texts whose names begin with a prefix, without it."""
    return {name.removeprefix(prefix): text for name, text in texts.items() if name.startswith(prefix)}
