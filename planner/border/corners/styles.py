"""The corner styles, one file each, and their list.

A new one is one new file with its record, and one line here.
"""

from __future__ import annotations

from planner.border.corners.easygoing import EASY_GOING
from planner.border.corners.mirrored import MIRRORED
from planner.border.corners.turning import TURNING
from planner.kinds import by_kind

CORNER_STYLES = by_kind(MIRRORED, TURNING, EASY_GOING)
