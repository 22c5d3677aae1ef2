"""The pure domain of Cornerwise: no web, no files, no clock.

Here the plan, on the ground floor, is shown the kinds that stand above it.
"""

from planner import kinds
from planner.fills.styles import FILLS

kinds.FILLS.records = FILLS
