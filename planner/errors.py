"""What can be wrong with a plan, in words for a person with a ruler in her hand.

Every error names the field it belongs to and the nearest thing that works (the cure).
The web layer adds only a status to them.
"""

from __future__ import annotations

from typing import Any


class PlanError(ValueError):
    """Something in the plan that cannot be used as it stands.

    field: dotted name of the field in the plan, e.g. ``border_in.top``; '' when it is no single field.
    cure: one sentence with the nearest thing that works. instead: what to write in the field, where that is known.
    """

    def __init__(self, message: str, *, field: str = "", cure: str = "", instead: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        self.cure = cure
        self.instead = instead

    def __reduce__(self) -> tuple[Any, ...]:
        """As it is, whatever a child takes to be made: it comes from another process so."""
        return type(self).__new__, (type(self), *self.args), vars(self)


class LengthError(PlanError):
    """A length that cannot be read."""


class ChoiceError(PlanError):
    """A choice that does not belong to the plan it came with."""
