"""The plan as a class hand-out of one to four pages: what it is, what to bring, how to chalk and stitch it.

The cautions are the usual ones of sewing classes and workplace guidance (extension services' marking and
cutter advice, OSHA's sewing station pages); troubles and cures are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

from planner.border.circles import curls_in_words, sizes_in_words
from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout
from planner.border.said import said_of
from planner.chalk.marking import Stance, chalked_round, side_marks
from planner.chalk.steps import datum_words
from planner.fills.backgrounds import background_of, filled_with
from planner.fills.corner_motifs import CORNER_MOTIFS
from planner.fills.scattered import scattered_of
from planner.fills.shape import Shape
from planner.fills.styles import FILLS
from planner.lengths import format_length
from planner.pictures.stages import threads_before
from planner.plan import Plan
from planner.sheets.drawing import Box, Drawing
from planner.sheets.figures import strip
from planner.sheets.page import AFTER_PICTURE_IN, HEADING_IN, Pages
from planner.sheets.paper import Paper
from planner.sheets.pdf import QUIET
from planner.sheets.quilt_drawing import quilt_drawing
from planner.stitching.segments import SpinesCome, StitchPath
from planner.supplies.called import parts_in_words, thread_name

PICTURE_HIGH_IN = 4.2
LEAST_PICTURE_IN = 3.0  # where a long list of what to bring stands under it on the page
STRIP_HIGH_IN = 2.2
SEEN_IN = 0.1  # of paper: a colour of a variegated thread that is shorter there is not told from the next
DOT_IN = 0.01  # of paper: a quarter of a millimetre is a dot, whatever its outline
INK_SMALL, INK_LARGER = 0.3, 0.6  # thinner lines where much is drawn small
TROUBLES = (
    (
        "The last circle misses the middle.",
        "Measure the side again from raw corner to raw corner. Read each centre "
        "from the corner or the middle, never from the circle before.",
    ),
    (
        "A circle crosses a guide line.",
        "Trust the guide line: slide the template until it just touches, and check "
        "the reading from the edge.",
    ),
    (
        "The chalk is gone before the needle comes.",
        "Chalk one side at a time, and only press the line on; roll the part you are not stitching.",
    ),
    ("The chalk stays.", "Brush it off before any heat comes near. Never iron over a mark: heat can set it."),
    (
        "Curls look square or pointed.",
        "Slow hands, even speed. Look a little ahead of the needle, and draw the "
        "curl once with a finger before stitching it.",
    ),
    (
        "The tail does not sit on itself when backtracked.",
        "Stop with the needle down at the tip, turn, and aim for the thread, not for the chalk.",
    ),
    (
        "Loops or broken thread.",
        "Rethread with the foot up, put in a new needle, then look in the machine's manual.",
    ),
    (
        "The border ripples.",
        "Square up and measure through the middle before the border goes on; baste it closer.",
    ),
)
SPINES: Mapping[SpinesCome, str] = {
    "first": "Spines first{strip}, all of them{thread}: they are the skeleton. Start at a corner and stitch its C "
    "round the outside.",
    "on_the_way": "Spines on the way{strip}{thread}: start at a corner, and stitch each stretch when the needle "
    "first comes along it. At a corner the C goes round the outside.",
    "after": "Then the spines{strip}{thread}, over what is stitched. Start at a corner and stitch its C round the "
    "outside.",
}
CAUTIONS = (
    "Test the chalk on a scrap of the same cloth: it must show, and it must come off.",
    "Press only after every mark is brushed away. Rest the iron on its heel, cord out of reach, and unplug it.",
    "Rotary cutter: close the blade each time you put it down, cut away from yourself, fingers back from the "
    "ruler's edge, shoes on. Keep it from children.",
    "Needle: fingers out of its path, face back, power off to change it. Follow the machine's own manual.",
    "Chair and table so that the elbows rest level; light without shadow. Stand up and change tasks often: "
    "pain, numbness or tingling is a reason to stop.",
)


def handout_pdf(
    layout: Layout,
    on: Paper,
    shapes: tuple[Shape, ...] = (),
    saved_at: float | None = None,
    path: StitchPath | None = None,
) -> bytes:
    """shapes: the fill to show in the picture, in quilt coordinates; path: of the needle, which the words of the
    stitching follow; without it, as where all spines come first; saved_at: see Book.
    """
    pages = Pages(layout, "class hand-out", on, saved_at)
    pages.name()
    pages.words(" ".join((border_in_words(layout), *said_of(layout))), 10.5, colour=QUIET, after=0.12)
    scale = layout.quilt.height / PICTURE_HIGH_IN
    quilt = quilt_drawing(layout, shapes, path, SEEN_IN * scale, DOT_IN * scale)
    near = quilt_drawing(layout, shapes, path)
    run, bring = _within(near, _one_run(layout)), to_bring(layout)
    left = pages.left - pages.pictured(run, STRIP_HIGH_IN) - HEADING_IN - pages.listed(bring)
    high = max(min(PICTURE_HIGH_IN, left - AFTER_PICTURE_IN), LEAST_PICTURE_IN)
    pages.picture(quilt, high=high, ink=INK_SMALL, alt="The whole quilt")
    pages.picture(run, high=STRIP_HIGH_IN, ink=INK_LARGER, alt="One run, larger")
    pages.listing("What to bring", bring)
    pages.turn()
    tables = side_marks(layout, Stance())
    pages.heading("How to chalk it")
    pages.words(
        "Stand at the raw edge with the quilt before you: 6 o'clock is the raw edge, 12 o'clock the quilt. Read "
        f"along from {datum_words(tables[0])}. The chalk sheet has every reading.",
        after=0.16,
    )
    pages.steps(tables)
    numbered = strip(tables[0])
    pages.heading("How to stitch it", pages.pictured(numbered))
    pages.y += 0.06
    pages.picture(numbered, alt="A side with the number of each circle")
    for i, text in enumerate(stitching(layout, path)):
        pages.words(f"{i + 1}. {text}", after=0.04)
    pages.heading("Common troubles and their cures")
    for trouble, cure in TROUBLES:
        pages.pair(trouble, cure)
    pages.listing("Take care", CAUTIONS)
    return pages.book.done()


def _one_run(layout: Layout) -> Box:
    """The top left corner and the run to the middle of the top, or a third of a side that turns on."""
    reach = layout.quilt.width / (2 if layout.mirrored else 3)
    return Box(-0.3, -0.3, reach + 0.3, layout.quilt.border("top") + 0.6)


def _within(drawing: Drawing, box: Box) -> Drawing:
    """What of a drawing begins or ends in a box."""
    right, floor = box.x + box.width, box.y + box.height
    shown = [
        stroke
        for stroke in drawing.strokes
        if stroke.layer in ("raw edge", "done")
        or any(p[0] < right and p[1] < floor for p in (stroke.curves[0].start, stroke.curves[-1].end))
    ]
    return Drawing(box, tuple(shown))


def border_in_words(layout: Layout) -> str:
    """The quilt, its border and its circles in two sentences."""
    plan, units = layout.plan, layout.plan.units
    widths = sorted({plan.border_in.top, plan.border_in.right, plan.border_in.bottom, plan.border_in.left})
    border = " and ".join(format_length(width, units) for width in widths)
    size = f"{format_length(layout.quilt.width, units)} by {format_length(layout.quilt.height, units)}"
    return (
        f"A quilt of {size} with a border {border} wide: {curls_in_words(layout)}, to be filled with "
        f"{filled_with(plan)}. {sizes_in_words(layout)}."
    )


def to_bring(layout: Layout) -> tuple[str, ...]:
    """What lies on the table before the lesson begins."""
    units = layout.plan.units
    sizes = chalked_round(layout)
    shown = ", ".join(format_length(size, units) for size in sizes[:6])
    more = f" and {len(sizes) - 6} more sizes" if len(sizes) > 6 else ""
    return (
        "Quilt top with its border, batting and backing, layered and basted",
        f"Circle templates: {shown}{more} (owned, or printed and glued on card)",
        f"Ruler of {format_length(24.0 if units == 'in' else 60 / 2.54, units)} and a tape longer than the longest "
        "side",
        "Chalk in two colours that show on the border, a brush, and a scrap of the same cloth",
        f"{threads_in_words(layout.plan)}, wound bobbins, spare needles",
        "Free-motion foot, quilting gloves, small scissors",
        "The chalk sheet, and the full-size pattern if you like to trace",
        "Paper and pencil: draw three curls before the machine is on",
    )


def threads_in_words(plan: Plan) -> str:
    """The threads to bring, in the order in which they are stitched, each with what it stitches."""
    if len(plan.threads) < 2:
        return "Thread for top and bobbin"
    told = (
        f"{n + 1}. {thread_name(plan, n)} ({parts_in_words(plan, n) or 'to spare'})"
        for n, _ in enumerate(plan.threads)
    )
    return f"Threads for the top, stitched in this order: {'; '.join(told)}; thread for the bobbin"


def stitching(layout: Layout, path: StitchPath | None = None) -> tuple[str, ...]:
    """The order of stitching, as the needle goes; common practice, no source."""
    plan = layout.plan
    fill, motif, behind = FILLS[plan.fill.kind], CORNER_MOTIFS[plan.corner_motif], background_of(plan)
    among = scattered_of(plan)
    come = path.spines_come if path else "first"
    strips = len(path.strips) > 1 if path else False
    spines = (
        SPINES[come].format(strip=" in each strip" if strips else "", thread=_spine_thread(plan)),
        "In each curl follow the circle, go out along the tail to its tip, and come back on the same line to where "
        "the next curl leaves.",
        CORNER_STYLES[plan.corner].by_hand,
    )
    pocket = "pocket by pocket: finish one pocket before you leave it, and travel only along lines that are already"
    if path and come == "after":
        ahead = ", or along what a later thread covers" if any(path.ahead) else ""
        before = ", then ".join(
            f"{thread_name(plan, n)} ({parts_in_words(plan, n) or 'to spare'})"
            for n in threads_before(plan, path)[0]
        )
        filling = f"First {before}, along the chalked spine, {pocket} stitched{ahead}. {fill.by_hand}"
        steps = (filling, *spines)
    else:
        steps = (
            *spines,
            f"{'Then the' if come == 'first' else 'The'} {fill.spoken}, {pocket} stitched. {fill.by_hand}",
        )
    return (
        *steps,
        *((among.by_hand,) if among.by_hand else ()),
        *((motif.by_hand,) if motif.by_hand and layout.corners else ()),
        *((behind.by_hand,) if behind.by_hand else ()),
        "Work outward from the spine: small shapes in the crooks last, when you see what room is left.",
    )


def _spine_thread(plan: Plan) -> str:
    """The thread of the spines, where there is more than one."""
    return f", in {thread_name(plan, plan.stitched_with.get('spine', 0))}" if len(plan.threads) > 1 else ""
