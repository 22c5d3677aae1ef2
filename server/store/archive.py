"""The whole shelf as one archive: a zip of plan files, one for each version, with a list of contents.

It is hers to read without any program: folders by plan, files by version. Keys are not in it. Reading one
never writes a file, so names in it can lead nowhere; counts and sizes are bounded.
"""

from __future__ import annotations

import io
import json
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Annotated, Any, BinaryIO, Self

from pydantic import AfterValidator, BaseModel, Field, TypeAdapter, ValidationError, model_validator

from planner.plan import Plan
from server.store.database import NotFound
from server.store.planfile import (
    LARGEST_BYTES,
    PlanFileError,
    check_version,
    read_json,
    read_plan_file,
    write_plan_file,
)
from server.store.versions import History, Saved, Store, Version, Why

SCHEMA = "cornerwise shelf"
VERSION = 1
MOST_FILES = 30_000
LARGEST_UNPACKED = 128 * 1024 * 1024  # of all that is read: ten times what a guild of 500 plans has
LARGEST_LIST = 8 * 1024 * 1024  # MOST_FILES lines of it are 4 MB
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the oldest time a zip can tell: the same shelf gives the same bytes


class _Line(BaseModel):
    """A version in the list of contents."""

    version: Annotated[int, Field(strict=True, ge=1, le=10**9)]
    base: Annotated[int, Field(strict=True, ge=0, le=10**9)]
    why: Why
    saved_at: Annotated[float, Field(strict=True, ge=0, le=1e11, allow_inf_nan=False)]
    by: Annotated[str, Field(max_length=40)] = ""


class _Listed(BaseModel):
    """A plan in the list of contents; versions oldest first, the head among them."""

    id: Annotated[str, Field(pattern=r"^[a-z2-7]{20}$")]
    head: int
    versions: Annotated[list[_Line], Field(min_length=1)]

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        numbers = [line.version for line in self.versions]
        if numbers != sorted(set(numbers)) or self.head not in numbers:
            raise ValueError("versions out of order")
        return self


def _each_once(listed: list[_Listed]) -> list[_Listed]:
    if len({plan.id for plan in listed}) != len(listed):
        raise ValueError("a plan twice")
    return listed


_List = TypeAdapter(Annotated[list[_Listed], AfterValidator(_each_once)])


@dataclass(frozen=True)
class Brought:
    """What an archive brought: new plans with their keys, versions in all; plans that were here already."""

    saved: tuple[Saved, ...]
    versions: int
    already: int

    @property
    def plans(self) -> int:
        """How many plans that was."""
        return len(self.saved)


def write_shelf(store: Store, some: Iterable[tuple[str, int | None]], out: BinaryIO) -> None:
    """Write these plans: with every version, or only with one where it is named. What was binned meanwhile is
    left out."""
    write_histories(_still_there(store, some), out)


def _still_there(
    store: Store, some: Iterable[tuple[str, int | None]]
) -> Iterator[tuple[str, int, Iterable[tuple[Version, Plan]]]]:
    for plan_id, version in some:
        with suppress(NotFound):
            yield _kept(store, plan_id, version)


def _kept(store: Store, plan_id: str, version: int | None) -> tuple[str, int, Iterable[tuple[Version, Plan]]]:
    if version is None:
        return plan_id, store.load(plan_id).version, list(_history(store, plan_id))
    one = store.load(plan_id, version)
    return plan_id, version, [(Version(version, 0, "made", one.saved_at, one.by), one.plan)]


def write_histories(
    histories: Iterable[tuple[str, int, Iterable[tuple[Version, Plan]]]], out: BinaryIO
) -> None:
    """Write plans, each with its id, its head, and its versions with their lines, oldest first."""
    contents: list[dict[str, Any]] = []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for plan_id, head, history in histories:
            lines: list[dict[str, Any]] = []
            name = ""
            for line, plan in history:
                _put(archive, f"plans/{plan_id}/{line.version}.json", write_plan_file(plan))
                lines.append(vars(line))
                name = plan.name if line.version == head else name
            contents.append({"id": plan_id, "name": name, "head": head, "versions": lines})
        listing = {"schema": SCHEMA, "version": VERSION, "plans": contents}
        _put(archive, "shelf.json", (json.dumps(listing, indent=1, ensure_ascii=False) + "\n").encode())


def read_shelf(store: Store, raw: bytes) -> Brought:
    """Put every plan of an archive on the shelf with its whole history, times and numbers as they were.

    The archive is read whole before anything is saved. A plan keeps its id when that is free here; one that
    is here already with the same newest content is left alone. Links are made anew. Raises PlanFileError.
    """
    histories = list(_plans(raw))
    adopted = store.adopt(histories)
    saved = tuple(one for one in adopted if one is not None)
    versions = sum(len(of[2]) for of, one in zip(histories, adopted, strict=True) if one is not None)
    return Brought(saved, versions, len(adopted) - len(saved))


def _history(store: Store, plan_id: str) -> Iterator[tuple[Version, Plan]]:
    """Every version, oldest first."""
    numbers: list[int] = []
    page = 1
    while found := store.versions(plan_id, page=page, rows=500):
        numbers += [version.version for version in found]
        page += 1
    for number in sorted(set(numbers)):  # a version saved between two pages moves the others on
        saved = store.load(plan_id, number)
        yield Version(saved.version, saved.base, saved.why, saved.saved_at, saved.by), saved.plan


def _put(archive: zipfile.ZipFile, name: str, body: bytes) -> None:
    entry = zipfile.ZipInfo(name, _EPOCH)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o600 << 16
    archive.writestr(entry, body)


def _plans(raw: bytes) -> Iterator[History]:
    """Each plan of an archive."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            names = {entry.filename: entry for entry in archive.infolist()}
            if len(archive.infolist()) > MOST_FILES or len(names) != len(archive.infolist()):
                raise _damaged("it has too many files, or the same one twice")
            if "shelf.json" not in names:
                raise _damaged("it has no list of contents")
            left = LARGEST_UNPACKED
            listing = read_json(_bytes(archive, names["shelf.json"], LARGEST_LIST))
            if not isinstance(listing, dict) or listing.get("schema") != SCHEMA:
                raise PlanFileError(
                    "This file is not a shelf.", cure="Choose an archive saved by Cornerwise."
                )
            check_version(listing.get("version"), VERSION, "shelf archive")
            for line in _List.validate_python(listing.get("plans")):
                history: list[tuple[Version, Plan]] = []
                for version in line.versions:
                    name = f"plans/{line.id}/{version.version}.json"
                    if name not in names:
                        raise _damaged(f"{name} is missing")
                    body = _bytes(archive, names[name], min(left, LARGEST_BYTES))
                    left -= len(body)
                    history.append((Version(**dict(version)), read_plan_file(body)))
                yield line.id, line.head, history
    except ValidationError as trouble:
        raise _damaged("its list of contents cannot be read") from trouble
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError) as trouble:
        raise _damaged("it cannot be unpacked") from trouble


def _bytes(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, most: int) -> bytes:
    """A file of the archive, never more than `most` bytes whatever it claims to be."""
    with archive.open(entry) as file:
        body = file.read(most + 1)
    if len(body) > most:
        raise _damaged(f"{entry.filename[:60]} is too large")
    return body


def _damaged(how: str) -> PlanFileError:
    return PlanFileError(f"This archive is damaged: {how}.", cure="Save the shelf again where it was made.")
