"""The structure of a PDF, so that it can be read aloud: headings, paragraphs, tables and figures with their words.

ISO 32000-1, 14.6 to 14.8: marked content on the page, and a tree of elements that it belongs to. What is neither,
such as a foot line or a rule, is marked as an artifact.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Literal

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFPage, PDFString
from reportlab.pdfgen.canvas import Canvas

Tag = Literal["H1", "H2", "H3", "P", "TH", "TD", "Figure", "Artifact"]
Group = Literal["Document", "Table", "TR"]


class Tags:
    """The tree in the making; one for each document."""

    def __init__(self, canvas: Canvas) -> None:
        self.canvas = canvas
        self.root = PDFDictionary({"Type": PDFName("StructTreeRoot"), "K": PDFArray([])})
        self.root_reference = canvas._doc.Reference(self.root)
        self.parents: list[list[Any]] = []  # for each page, the element that each piece of content belongs to
        self._inside = False
        self._groups = [self._element("Document", self.root, self.root_reference)]

    def page(self) -> None:
        """A new page begins."""
        self.parents.append([])

    @contextmanager
    def group(self, kind: Group) -> Iterator[None]:
        """An element that holds those made inside."""
        self._groups.append(self._element(kind, *self._groups[-1]))
        yield
        self._groups.pop()

    @contextmanager
    def marked(self, tag: Tag, words: str = "") -> Iterator[None]:
        """Content of one element; what is marked inside it belongs to it. words: what is read for a figure."""
        if self._inside:
            yield
            return
        self._inside = True
        self.canvas._code.append(self._begin(tag, words))
        yield
        self.canvas._code.append("EMC")
        self._inside = False

    def _begin(self, tag: Tag, words: str) -> str:
        if tag == "Artifact":
            return "/Artifact BMC"
        element, reference = self._element(tag, *self._groups[-1])
        number = len(self.parents[-1])
        self.parents[-1].append(reference)
        element.dict |= {"Pg": self.canvas._doc.thisPageRef(), "K": number}
        if words:
            element.dict["Alt"] = PDFString(words)
        return f"/{tag} <</MCID {number}>> BDC"

    def _element(self, kind: str, parent: PDFDictionary, parent_reference: Any) -> tuple[PDFDictionary, Any]:
        element = PDFDictionary(
            {"Type": PDFName("StructElem"), "S": PDFName(kind), "P": parent_reference, "K": PDFArray([])}
        )
        reference = self.canvas._doc.Reference(element)
        parent.dict["K"].sequence.append(reference)
        return element, reference

    def done(self) -> None:
        """Hang the tree into the finished document."""
        document = self.canvas._doc
        for number, page in enumerate(document.Pages.pages):
            page.__NoDefault__ = [*PDFPage.__NoDefault__, "StructParents", "Tabs"]
            page.StructParents, page.Tabs = number, PDFName("S")
        pairs = [part for number, refs in enumerate(self.parents) for part in (number, PDFArray(refs))]
        self.root.dict["ParentTree"] = PDFDictionary({"Nums": PDFArray(pairs)})
        document.Catalog.StructTreeRoot = self.root
        document.Catalog.MarkInfo = PDFDictionary({"Marked": "true"})
