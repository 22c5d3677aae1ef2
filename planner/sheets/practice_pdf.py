"""The practice sheet on paper: how to practise, then each exercise at full size, with less and less to go by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from planner.border.circles import sizes_in_words
from planner.border.layout import Layout
from planner.fills.styles import FILLS
from planner.sheets.drawing import Box, Drawing
from planner.sheets.free import covering
from planner.sheets.page import BETWEEN_IN, LEFT_IN, TOP_IN, Pages
from planner.sheets.paper import Paper, tile
from planner.sheets.pattern_pdf import FULL_SIZE, set_of, tile_page
from planner.sheets.pdf import QUIET
from planner.sheets.practice import STAGES, Exercise

INK_SMALL = 0.5  # thinner lines where the stages are shown small
TO_PRACTISE = (  # common practice of free-motion classes, no source
    f"{FULL_SIZE}",
    "Trace the first page of a piece with a finger, three times, before you take a pen. Say the way aloud: round, "
    "out, back, on.",
    "Then page after page, in this order. Print a page again as often as you like; go back one where it stops "
    "flowing.",
    "For the curls that turn the other way, and for the other half of a side, hold the sheet to a window and "
    "trace it from behind.",
    "Last, chalk the bare guide lines on a scrap sandwich of the same cloth and batting, and stitch there before "
    "you touch the quilt.",
)
CAUTIONS = (  # the usual ones of sewing classes and workplace guidance
    "Practise for a quarter of an hour, then stand up and roll your shoulders. Pain, numbness or tingling is a "
    "reason to stop.",
    "Elbows level, light without shadow, both hands on the cloth and fingers out of the needle's path.",
    "Test chalk, pen or pencil on a scrap of the same cloth: it must show, and it must come off. Never iron over "
    "a mark.",
    "If you stitch through paper, put in a new needle before the quilt: paper blunts it. Follow the machine's "
    "own manual.",
)


def practice_pdf(
    layout: Layout, exercises: Sequence[Exercise], on: Paper, saved_at: float | None = None
) -> bytes:
    """The first page says how; every drawing after it is at full size. saved_at: see Book."""
    pages = Pages(layout, "practice sheet", on, saved_at)
    pages.name()
    pages.words(
        f"To practise on paper before the quilt: a corner and a curl of this border at full size, with "
        f"{FILLS[layout.plan.fill.kind].spoken}. {sizes_in_words(layout)}.",
        10.5,
        colour=QUIET,
        after=0.12,
    )
    _small(pages, exercises[-1].drawings)
    pages.heading("How to practise")
    for n, text in enumerate(TO_PRACTISE):
        pages.words(f"{n + 1}. {text}", after=0.04)
    pages.listing("Take care", CAUTIONS)
    words = np.array(covering(Box(LEFT_IN, TOP_IN, pages.room, pages.y - TOP_IN)))
    pages.book.check_in_free_paper(words, Box(LEFT_IN, TOP_IN, pages.room, pages.floor - TOP_IN))
    for exercise in exercises:
        for stage, drawing in enumerate(exercise.drawings):
            _at_full_size(pages, exercise, stage, drawing)
    return pages.book.done()


def _small(pages: Pages, drawings: Sequence[Drawing]) -> None:
    """The stages beside each other, small."""
    wide = (pages.room - BETWEEN_IN * (len(drawings) - 1)) / len(drawings)
    scale = wide / drawings[0].box.width
    for n, (stage, drawing) in enumerate(zip(STAGES, drawings, strict=True)):
        x = LEFT_IN + n * (wide + BETWEEN_IN)
        lines = Drawing(drawing.box, drawing.strokes, title=drawing.title)
        pages.book.draw(lines, (x, pages.y), scale=scale, ink=INK_SMALL, alt=f"{stage.title}, small")
        pages.book.text(
            x, pages.y + drawings[0].box.height * scale + 0.18, f"{n + 1} {stage.title}", 8.5, bold=True
        )
    pages.y += drawings[0].box.height * scale + 0.25


def _at_full_size(pages: Pages, exercise: Exercise, number: int, drawing: Drawing) -> None:
    """A stage under its heading, on one page; on several to be taped where the paper is too small for it."""
    stage = STAGES[number]
    title, words = f"{exercise.title} {number + 1}: {stage.title}", stage.words
    head = pages.height_of(title, 13, bold=True) + pages.height_of(words, 9.5) + 0.14
    if drawing.box.width > pages.room or drawing.box.height + head > pages.floor - TOP_IN:
        tiling = tile(drawing.box.width, drawing.box.height, pages.on)
        one = replace(set_of(drawing, tiling), points=np.array(covering(drawing.box)))
        for row in range(tiling.rows):
            for column in range(tiling.columns):
                tile_page(pages.book, pages.layout, one, column, row)
        pages.y = pages.floor  # what follows begins a page of its own
        return
    pages.need(head + drawing.box.height)
    pages.words(title, 13, bold=True, after=0.03, tag="H2")
    pages.words(words, colour=QUIET)
    x = LEFT_IN + (pages.room - drawing.box.width) / 2
    pages.book.draw(drawing, (x, pages.y), alt=drawing.title)
    pages.y += drawing.box.height + 0.15
