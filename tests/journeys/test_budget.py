"""What a page of the round costs at the edge of the network: requests and bytes, held so that nobody adds to them unawares.

Budgets: scripts 30 KiB compressed on the round (32 on a form with a pad of keys), htmx among them and what photos need not; first load 100 kB
in 10 requests, the same form once more 20 kB. Static files count as gzip makes them (collectstatic does it once), pages as they came over
the wire.
"""

from __future__ import annotations

import gzip
from typing import Any

import pytest

from tests.boards.pond import make_pond, make_turtles
from tests.boards.walk import lived_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PAGES = [
    "/round/",
    "/enclosures/P1/feedings/",
    "/enclosures/P1/water-tests/",
    "/enclosures/P1/weights/",
    "/filters/P1-F/soundings/",
]


def cost_of(response: Any) -> int:
    if "/static/" in response.url:
        return len(gzip.compress(response.body()))
    return int(response.request.sizes()["responseBodySize"])


@pytest.mark.parametrize("path", PAGES)
def test_a_page_of_the_round_stays_within_its_budget(open_page: Any, keeper: Any, facility: Any, path: str) -> None:
    make_turtles(make_pond(facility).enclosure)
    for n in range(13):  # a round of fourteen stops
        lived_in(facility, f"R{n:02d}")
    page = open_page(keeper, path)
    page.wait_for_load_state("networkidle")
    page.evaluate("localStorage.clear()")
    page.context.new_cdp_session(page).send("Network.clearBrowserCache")
    answers: list[Any] = []
    page.on("response", lambda answer: answers.append(answer))
    page.goto(page.url)
    page.wait_for_load_state("networkidle")
    costs = {answer.url: cost_of(answer) for answer in answers}
    scripts = {url: cost for url, cost in costs.items() if url.endswith(".js") and "photos" not in url}
    assert sum(scripts.values()) <= (30 if path == "/round/" else 32) * 1024, scripts
    assert len(answers) <= 10, sorted(costs)
    assert sum(costs.values()) <= 100_000

    answers.clear()
    page.goto(page.url)
    page.wait_for_load_state("networkidle")
    fresh = [
        answer for answer in answers if "/static/" not in answer.url
    ]  # hashed static files are kept by the browser
    assert sum(cost_of(answer) for answer in fresh) <= 20_000
