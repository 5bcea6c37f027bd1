"""A real browser at a real server: Debian's Chromium, driven by Playwright, at the size of the tablet on the round."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from tests.journeys.tablet import TABLET, server, tablet  # noqa: F401  (fixtures)

MAP_STYLE = "sha256-ji27qzEtxXZW"  # one style of the chart bundle's map part: the policy refuses it, and no chart here misses it


@pytest.fixture
def open_page(browser: Any, live_server: Any, client: Any) -> Iterator[Callable[..., Any]]:
    """`open_page(user, path, **context)` signs the person in and opens a page; console errors fail the test at its end."""
    contexts: list[Any] = []
    complaints: list[str] = []

    def opened(user: Any, path: str, **context_options: Any) -> Any:
        client.force_login(user)
        options = {"viewport": TABLET, "has_touch": True, "locale": "en-GB", "timezone_id": "Europe/Paris"}
        options["service_workers"] = "block"  # a kept page would answer for the server; test_offline.py is about them
        context = browser.new_context(**{**options, **context_options})
        context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}])
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(live_server.url + path)
        return page

    yield opened
    for context in contexts:
        context.close()
    # Refused forms answer 422 on purpose; Chromium reports every such answer.
    expected = ("status of 422", "status of 409", MAP_STYLE)
    real = [text for text in complaints if not any(known in text for known in expected)]
    assert not real, real
