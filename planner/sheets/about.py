"""What a PDF says of itself: title, author, subject, and the day of the plan it was made from."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFInfo, PDFString
from reportlab.pdfgen.canvas import Canvas

from planner.border.circles import curls_in_words
from planner.border.layout import Layout
from planner.lengths import format_length
from planner.sheets.text import letters_of

MAKER = "Cornerwise"


def subject(layout: Layout) -> str:
    """What every sheet of a layout is of."""
    size = (
        format_length(layout.quilt.width, layout.plan.units),
        format_length(layout.quilt.height, layout.plan.units),
    )
    return f"Quilt border of {curls_in_words(layout)}, {size[0]} by {size[1]}; stamp {layout.stamp}"


def name_of(layout: Layout) -> str:
    """The plan's name, or its stamp where the name is in letters that no sheet can set."""
    name = layout.plan.name
    return f"Quilt {layout.stamp}" if letters_of(name) == "unknown" else name


def name_note(layout: Layout) -> str:
    """What to say under a name that may not show as it was written; '' for most."""
    match letters_of(layout.plan.name):
        case "embedded":
            return ""
        case "borrowed":
            return f"If the name shows as empty boxes, your reader lacks its letters; go by stamp {layout.stamp}."
    return "The plan's own name is in letters that these sheets cannot set; on the page it stands as you wrote it."


def describe(canvas: Canvas, title: str, subject: str, saved_at: float | None) -> None:
    """Title, author, subject and date (ISO 32000-1, 14.3.3), and how a reader shows and prints it (12.2)."""
    info = _Info(saved_at)
    info.title, info.author, info.subject, info.creator = title, MAKER, subject, MAKER
    canvas._doc.info = info
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("DisplayDocTitle", "true")


class _Info(PDFInfo):  # type: ignore[misc]
    """The PDF writer's own always holds a date: the minute it runs, or a made-up one."""

    def __init__(self, saved_at: float | None) -> None:
        super().__init__()
        self.saved_at = saved_at

    def format(self, document: Any) -> Any:
        texts = {"Title": self.title, "Author": self.author, "Subject": self.subject, "Creator": self.creator}
        texts["Producer"] = self.producer
        if self.saved_at is not None:
            day = datetime.fromtimestamp(self.saved_at, UTC).strftime("D:%Y%m%d%H%M%S+00'00'")
            texts |= {"CreationDate": day, "ModDate": day}
        return PDFDictionary({name: PDFString(text) for name, text in texts.items()}).format(document)
