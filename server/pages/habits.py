"""Which units and which paper are usual where she lives, as her browser's languages tell it; hers to change.

Quilting rulers and templates are sold in inches in the English-speaking countries (common practice, no
source); Letter is the paper of North America and some of its neighbours, A4 of all others (ISO 216).
"""

from __future__ import annotations

from planner.plan import Units

INCHES = frozenset(("AU", "CA", "GB", "IE", "LR", "MM", "NZ", "US", "ZA"))
LETTER = frozenset(("CA", "CL", "CO", "CR", "GT", "MX", "PA", "PH", "PR", "US", "VE"))


def region_of(accept_language: str) -> str:
    """The country of the language she likes best ("en-GB;q=0.9" is GB), "US" where no more than English is said, ""
    where nothing says it.
    """
    tag = accept_language.partition(",")[0].partition(";")[0].strip()
    language, *more = tag.split("-")
    region = next((part.upper() for part in more if len(part) == 2 and part.isalpha()), "")
    return region or ("US" if language.lower() == "en" else "")


def usual_units(accept_language: str) -> Units:
    """What a bare number means at her first visit: inches, or centimetres."""
    region = region_of(accept_language)
    named = accept_language.strip() not in ("", "*")
    return "cm" if named and region not in INCHES else "in"


def usual_paper(accept_language: str, by_units: str) -> str:
    """The paper in her printer; by the plan's units where her browser names no language.

    Who plans in centimetres where most measure in inches has A4 in hers: "en-US" is said by many a browser that was
    never told otherwise.
    """
    if accept_language.strip() in ("", "*"):
        return by_units
    region = region_of(accept_language)
    metric_plan = by_units != "letter"
    return "letter" if region in LETTER and not (metric_plan and region in INCHES) else "a4"


def paper_kept(units: Units) -> str:
    """The name of the cookie that keeps the paper she last chose for plans in inches, or in metric units."""
    return "paper" if units == "in" else "paper-metric"
