"""Small checks that many page tests share."""

from __future__ import annotations

import re
from html import unescape

_NOT_READ = re.compile(r"<(script|style|svg|code|pre|head)\b.*?</\1>|<!--.*?-->", re.S | re.I)
_SPOILERS = {
    "an empty Python value": re.compile(r"\bNone\b|\bnan\b|\binf\b|\bTrue\b|\bFalse\b"),
    "a bare ISO date": re.compile(r"\b\d{4}-\d{2}-\d{2}\b"),
    "false precision": re.compile(r"\d[.,]\d{4,}"),
    "a Python value": re.compile(r"datetime\.|Decimal\(|<[\w.]+ object|\[\]|\{\}|&lt;Quer"),
    "an unfilled place": re.compile(r"\{\{|\}\}|\{%"),
    "a figure apart from its unit": re.compile(r"\d (?:%|mm|°C|L/h|kg/m³)(?!\w)"),
    "a stray space before a full stop": re.compile(r"\w [.,;](?:\s|$)"),
}


def words_of(html: str) -> str:
    """What a reader sees: no tags, no attributes, no scripts, no pictures."""
    return re.sub(r"[ \t\n]+", " ", unescape(re.sub(r"<[^>]+>", " ", _NOT_READ.sub(" ", html)))).strip()


def assert_reads_well(html: str) -> None:
    """Nothing on the page that only a programmer would understand, and no figure parted from its unit."""
    html = re.sub(r"<code\b.*?</code>", "code", html, flags=re.S)
    words = words_of(re.sub(r"</?(?:b|i|strong|small|span|a|s|em|time)\b[^>]*>", "", html))
    for what, spoiler in _SPOILERS.items():
        found = spoiler.search(words)
        assert found is None, f"{what}: …{words[max(0, found.start() - 60) : found.end() + 40]}…"
