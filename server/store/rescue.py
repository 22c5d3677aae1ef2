"""What can still be read of a damaged database file: every version of every plan, page by page.

SQLite is not asked: it stops at the first damage on its way. The file's own format is read instead (sqlite.org,
"Database File Format"): whatever leaf of a table still holds a row that is a version of a plan, in the file or in
its log. What comes of it is a shelf archive, to be brought in on a new shelf. Keys are not in it.
"""

from __future__ import annotations

import json
import re
import struct
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, get_args

from planner.plan import Plan
from server.store.archive import write_histories
from server.store.database import StoreError
from server.store.planfile import PlanFileError, read_plan
from server.store.versions import History, Version, Why

_ID = re.compile(r"[a-z2-7]{20}\Z")
_USUAL_PAGE = 4096
_LEAF = 0x0D  # a page that holds rows of a table
_LOG_HEAD, _FRAME_HEAD = 32, 24  # bytes before the frames of the log, and before the page in each
_LARGEST_ROW = 1 << 20

Row = list[Any]


def rescue(file: Path, out: Path) -> tuple[int, int]:
    """Write all that can be read of a damaged file as an archive; how many plans and versions.

    Raises StoreError where there is nothing, and never overwrites a file.
    """
    found: dict[str, dict[int, tuple[Version, Plan]]] = {}
    heads: dict[str, int] = {}
    for row in _rows(file):
        with suppress(PlanFileError, ValueError, TypeError):
            # six as it was written before it said who saved
            if len(row) in (6, 7) and row[3] in get_args(Why):
                version = Version(int(row[1]), int(row[2]), row[3], float(row[4]), *map(str, row[6:]))
                found.setdefault(row[0], {})[version.version] = (version, read_plan(json.loads(row[5])))
            elif len(row) > 7:
                heads[row[0]] = int(row[1])
    if not found:
        raise StoreError(f"No version of any plan can be read in {file}.", cure="Restore the last backup.")
    histories = [_history(plan_id, lines, heads.get(plan_id)) for plan_id, lines in found.items()]
    try:
        with out.open("xb") as archive:
            write_histories(histories, archive)
    except FileExistsError as trouble:
        raise StoreError(
            f"{out} is there already.", cure="Move it away; nothing is overwritten."
        ) from trouble
    return len(histories), sum(len(lines) for _, _, lines in histories)


def _history(plan_id: str, lines: dict[int, tuple[Version, Plan]], head: int | None) -> History:
    kept = [lines[number] for number in sorted(lines)]
    newest = [line.version for line, _ in kept if line.why != "aside"] or [kept[-1][0].version]
    return plan_id, head if head in lines else newest[-1], kept


def _rows(file: Path) -> Iterator[Row]:
    """Every row that begins with the id of a plan, older ones first. Raises StoreError for what is no file."""
    try:
        raw = file.read_bytes()
    except OSError as trouble:
        raise StoreError(
            f"{file} cannot be read: {trouble.strerror or trouble}.",
            cure="Give the damaged file, such as plans.db in the data folder.",
        ) from trouble
    size = struct.unpack(">H", raw[16:18])[0] if raw[:6] == b"SQLite" else _USUAL_PAGE
    size = 65536 if size == 1 else size if size >= 512 and size & (size - 1) == 0 else _USUAL_PAGE
    pages = {n + 1: raw[n * size : (n + 1) * size] for n in range(len(raw) // size)}
    frames = list(_frames(file.with_name(file.name + "-wal"), size))
    newest = pages | dict(frames)
    for number, page in [*pages.items(), *frames]:
        yield from _rows_of(page, 100 if number == 1 else 0, newest)


def _frames(log: Path, size: int) -> Iterator[tuple[int, bytes]]:
    """The pages in the log, with their numbers."""
    raw = log.read_bytes() if log.exists() else b""
    for begin in range(_LOG_HEAD, len(raw) - size, size + _FRAME_HEAD):
        page = begin + _FRAME_HEAD
        yield struct.unpack(">I", raw[begin : begin + 4])[0], raw[page : page + size]


def _rows_of(page: bytes, begin: int, pages: dict[int, bytes]) -> Iterator[Row]:
    if len(page) <= begin + 8 or page[begin] != _LEAF:
        return
    cells = struct.unpack(">H", page[begin + 3 : begin + 5])[0]
    for n in range(min(cells, len(page) // 4)):
        with suppress(ValueError, IndexError, struct.error):
            at = struct.unpack(">H", page[begin + 8 + 2 * n : begin + 10 + 2 * n])[0]
            row = _record(_payload(page, at, pages))
            if row and isinstance(row[0], str) and _ID.match(row[0]):
                yield row


def _payload(page: bytes, at: int, pages: dict[int, bytes]) -> bytes:
    """The bytes of a row: some in its page, the rest in a chain of pages of their own."""
    size, at = _varint(page, at)
    _, at = _varint(page, at)
    if not 0 < size < _LARGEST_ROW:
        raise ValueError
    usable = len(page)
    most = usable - 35
    if size <= most:
        return page[at : at + size]
    least = (usable - 12) * 32 // 255 - 23
    here = least + (size - least) % (usable - 4)
    here = here if here <= most else least
    body, after = page[at : at + here], struct.unpack(">I", page[at + here : at + here + 4])[0]
    while len(body) < size:
        page = pages.get(after, b"")
        if len(page) < 8:
            raise ValueError
        after = struct.unpack(">I", page[:4])[0]
        body += page[4:]
    return body[:size]


def _record(payload: bytes) -> Row:
    """The values of a row."""
    end, at = _varint(payload, 0)
    kinds = []
    while at < end:
        kind, at = _varint(payload, at)
        kinds.append(kind)
    row: Row = []
    for kind in kinds:
        value, at = _value(payload, at, kind)
        row.append(value)
    return row


def _value(payload: bytes, at: int, kind: int) -> tuple[Any, int]:
    sizes = (0, 1, 2, 3, 4, 6, 8, 8, 0, 0)
    size = sizes[kind] if kind < len(sizes) else (kind - 12) // 2
    raw = payload[at : at + size]
    if len(raw) < size:
        raise ValueError
    if kind == 7:
        return struct.unpack(">d", raw)[0], at + size
    if 0 < kind < 7:
        return int.from_bytes(raw, "big", signed=True), at + size
    if kind >= 12:
        return raw.decode() if kind % 2 else raw, at + size
    return {8: 0, 9: 1}.get(kind), at


def _varint(raw: bytes, at: int) -> tuple[int, int]:
    value = 0
    for n in range(9):
        byte = raw[at + n]
        if n == 8:
            return value << 8 | byte, at + 9
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + n + 1
    raise ValueError
