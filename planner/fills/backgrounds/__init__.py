"""Backgrounds: what lies behind a fill, one file each. A new one is a file, and a word in the list."""

from planner.fills.backgrounds.echo_line import ECHO_LINE
from planner.fills.backgrounds.meander import MEANDER
from planner.fills.backgrounds.pebbles import PEBBLES
from planner.fills.backgrounds.record import BackgroundRecord
from planner.fills.growing.style import Style
from planner.fills.scattered import scattered_of
from planner.fills.styles import FILLS
from planner.kinds import by_kind
from planner.plan import Plan

NONE = BackgroundRecord(kind="none", listed="nothing: the fill takes it all")
BACKGROUNDS = by_kind(NONE, PEBBLES, MEANDER, ECHO_LINE)


def background_of(plan: Plan) -> BackgroundRecord:
    """What lies behind a plan's fill: nothing where that is of lines that go to the edge."""
    return BACKGROUNDS[plan.background] if isinstance(FILLS[plan.fill.kind].style, Style) else NONE


def filled_with(plan: Plan) -> str:
    """What fills a border, in a sentence: feathers, flowers here and there, pebbles behind."""
    told = (FILLS[plan.fill.kind].spoken, scattered_of(plan).spoken, background_of(plan).spoken)
    return ", ".join(filter(None, told))
