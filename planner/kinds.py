"""Families of kinds: fills, meetings, corner styles and so on. A kind is one record, each family one list.

The records stand where their work is done (``planner/fills/styles`` and so on), above the plan, which only takes
the name of one. ``planner/__init__`` shows each list to the family of that name here, so that nothing below
has to look up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from math import sqrt
from typing import Any, Generic, Literal, Protocol, TypeVar

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticKnownError, core_schema


class Kind(Protocol):
    """What every record has: the word that stands for it in plans, links and addresses."""

    @property
    def kind(self) -> str: ...


K = TypeVar("K", bound=Kind)


def by_kind(*records: K) -> dict[str, K]:
    """The list of a family, in the order in which it is offered."""
    return {record.kind: record for record in records}


@dataclass(eq=False, slots=True)
class Family(Generic[K]):
    """The kinds a plan may name. records: the family's list itself, not a copy."""

    records: Mapping[str, K] = field(default_factory=dict)

    def __getitem__(self, kind: str) -> K:
        return self.records[kind]


@dataclass(frozen=True, slots=True)
class OneOf:
    """As an annotation of a ``str``: pydantic takes only the kinds of a family, or another word given here."""

    family: Family[Any]
    or_word: str | None = None

    @property
    def words(self) -> tuple[str, ...]:
        """The words that a plan may hold."""
        return (*self.family.records, *([self.or_word] if self.or_word else ()))

    def _known(self, word: str) -> str:
        if word in self.words:
            return word
        raise PydanticKnownError("literal_error", {"expected": _choice_of(self.words)})

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_after_validator_function(self._known, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": "string", "enum": list(self.words)}


def _choice_of(words: Iterable[str]) -> str:
    """'a', 'b' or 'c'."""
    *first, last = (f"'{word}'" for word in words)
    return f"{', '.join(first)} or {last}" if first else last


Density = Literal["closer", "usual", "opener"]
MARK_IN = 1 / 16  # a mark of her ruler, on which the comfortable room stands


@dataclass(frozen=True, slots=True)
class NeedRange:
    """What a fill needs, inches. All of these are common practice, no source.

    least_room, comfortable_room, most_room: clear width between a spine and an edge; longest_ratio: of the
    longest plume (leaf, needle ...) to the room, and longest_most: what none is longer than; curl_share: of the
    room, the least radius of a curl that can be filled; smallest_feature: least width of a shape, what a
    practised hand stitches well at about ten stitches an inch.
    """

    least_room: float
    comfortable_room: float
    most_room: float
    longest_ratio: float
    longest_most: float
    curl_share: float
    smallest_feature: float

    def longest(self, room: float) -> float:
        """The longest plume for that much room."""
        return min(self.longest_ratio * room, self.longest_most)

    def at(self, density: Density) -> NeedRange:
        """The same for quilting that lies closer or opener: that end of the range of the room.

        The comfortable room is then half way to the end, the range goes a quarter of the way back to the usual one
        (as factors: what is twice as wide lies half as close), so that no layout is both.
        """
        if density == "usual":
            return self
        end = self.least_room if density == "closer" else self.most_room
        usual = self.comfortable_room
        nearest, middle = (end * usual**3) ** 0.25, round(sqrt(end * usual) / MARK_IN) * MARK_IN
        limits = {"most_room": nearest} if density == "closer" else {"least_room": nearest}
        return replace(self, comfortable_room=middle, **limits)

    def smallest_curl(self, room: float) -> float:
        """The least radius of a curl for that much room."""
        return self.curl_share * room

    @property
    def usual(self) -> dict[str, float]:
        """The figures of a plan's fill at the comfortable room, by their names there."""
        room = self.comfortable_room
        return {
            "room_in": room,
            "longest_in": self.longest(room),
            "smallest_curl_in": self.smallest_curl(room),
            "smallest_feature_in": self.smallest_feature,
        }


class PlannedFill(Kind, Protocol):
    """What a plan has to know of a fill."""

    @property
    def needs(self) -> NeedRange: ...
    @property
    def spoken(self) -> str: ...


FILLS: Family[PlannedFill] = Family()
MEETINGS: Family[Kind] = Family()
CORNER_STYLES: Family[Kind] = Family()
CORNER_MOTIFS: Family[Kind] = Family()
BACKGROUNDS: Family[Kind] = Family()
SCATTERED: Family[Kind] = Family()
