"""Benchmarks as ratios of one run, all or some.

``.venv/bin/python -m tests.benchmarks``, or ``... solving pages clients crowd growing``.
What each row means stands in DEVELOPERS.md. Nothing is asserted: figures are of the machine and the moment.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator

from tests.benchmarks.crowd import crowd
from tests.benchmarks.growing import growing
from tests.benchmarks.pages import clients, pages
from tests.benchmarks.solving import proposals
from tests.benchmarks.table import Row

ROWS: dict[str, Callable[[], Iterator[Row]]] = {
    "solving": proposals,
    "pages": pages,
    "clients": clients,
    "crowd": crowd,
    "growing": growing,
}


def main(wanted: list[str]) -> None:
    print(f"{'what':<52}{'seconds':>9}  ratio")
    for name in wanted or ROWS:
        for row in ROWS[name]():
            seconds = "" if row.seconds is None else f"{row.seconds:.4f}"
            print(f"{row.what:<52}{seconds:>9}  {row.ratio}", flush=True)


if __name__ == "__main__":
    reading = argparse.ArgumentParser(
        prog="python -m tests.benchmarks", description="Benchmarks as ratios of one run, all or some."
    )
    reading.add_argument(
        "rows",
        nargs="*",
        choices=[[], *ROWS],
        metavar="ROW",
        help=f"{', '.join(ROWS)}; all when none is named",
    )
    main(reading.parse_args().rows)
