"""File names: whatever a plan is called, its letters are kept as far as ASCII goes (RFC 6266, RFC 5987)."""

from __future__ import annotations

import re
from urllib.parse import unquote

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.html import attachment


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("Żółta łąka", "Zolta laka"),
        ("Größe à l'été", "Grosse a l-ete"),
        ("Smørrebrød & Æbler", "Smorrebrod - Aebler"),
        ("Đà Lạt", "Da Lat"),
        ("Zu\u0308rich", "Zurich"),  # typed with a combining mark
        ("波と桜", "plan"),
        ("", "plan"),
    ],
)
def test_ascii_names_keep_their_letters(name: str, plain: str) -> None:
    assert f'filename="{plain}.pdf"' in attachment(name, "pdf")["Content-Disposition"]


@given(st.text(max_size=130))
def test_any_name_gives_one_safe_header_line(name: str) -> None:
    header = attachment(name, "pdf")["Content-Disposition"]
    found = re.fullmatch(
        r"attachment; filename=\"([A-Za-z0-9 _-]+)\.pdf\"; filename\*=UTF-8''(\S+)\.pdf", header
    )
    assert found
    assert header.isascii()
    assert not set(unquote(found[2])) & set('/\\\r\n"')
