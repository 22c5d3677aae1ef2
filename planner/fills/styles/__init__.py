"""The fills, one file each, and their list. A new one is one new file with its record, and one line here."""

from __future__ import annotations

from planner.fills.styles.echo import ECHO
from planner.fills.styles.feathers import FEATHERS
from planner.fills.styles.fern import FERN
from planner.fills.styles.flowers import FLOWERS
from planner.fills.styles.holly import HOLLY
from planner.fills.styles.leaves import LEAVES
from planner.fills.styles.needles import NEEDLES
from planner.fills.styles.ribbon import RIBBON
from planner.kinds import by_kind

FILLS = by_kind(FEATHERS, LEAVES, NEEDLES, FLOWERS, HOLLY, FERN, RIBBON, ECHO)
