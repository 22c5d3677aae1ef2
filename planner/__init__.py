"""The pure domain of Cornerwise: no web, no files, no clock.

Here the plan, on the ground floor, is shown the kinds that stand above it.
"""

from planner import kinds
from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.fills.backgrounds import BACKGROUNDS
from planner.fills.corner_motifs import CORNER_MOTIFS
from planner.fills.scattered import SCATTERED
from planner.fills.styles import FILLS

kinds.FILLS.records = FILLS
kinds.MEETINGS.records = MEETINGS
kinds.CORNER_STYLES.records = CORNER_STYLES
kinds.CORNER_MOTIFS.records = CORNER_MOTIFS
kinds.BACKGROUNDS.records = BACKGROUNDS
kinds.SCATTERED.records = SCATTERED
