"""The charts as a browser draws them under the site's own policy: drawn, in the colours of the scheme, with nothing to upload."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.util import find_spec
from pathlib import Path

import pytest

from enclosures.figures.void_fill import void_fill
from enclosures.figures.water_tests import WaterMark, water_tests
from tests.figures.charts import CLEANOUTS, READINGS, RESTS, TODAY, trace

pytestmark = pytest.mark.browser
STATIC = Path(__file__).parents[2] / "static"
POLICY = "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'"
KINDS = {"js": "text/javascript", "css": "text/css"}
MAP_STYLE = "sha256-ji27qzEtxXZW"  # one style of the bundle's map part, refused and not missed


def page() -> str:
    figures = {
        "fill": void_fill(trace(), readings=READINGS, cleanouts=CLEANOUTS, rests=RESTS, today=TODAY),
        "water": water_tests([WaterMark(on=TODAY, analyte="tan", value=8.0, qualifier=">")], today=TODAY),
    }
    parts = [
        f'<div data-figure="{name}"></div><script type="application/json" id="{name}">{json.dumps(figure)}</script>'
        for name, figure in figures.items()
    ]
    head = (
        '<meta charset="utf-8"><meta name="color-scheme" content="light dark"><link rel="icon" href="data:,">'
        '<link rel="stylesheet" href="/css/tokens.css">'
        '<link rel="stylesheet" id="plotly.js-style-global" href="/css/tokens.css">'
        '<script defer src="/plotly.min.js"></script><script defer src="/js/figures.js"></script>'
    )
    return f"<!doctype html><html><head>{head}</head><body>{''.join(parts)}</body></html>"


class Handler(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        root = find_spec("plotly").submodule_search_locations[0]
        if self.path == "/":
            body, kind = page().encode(), "text/html; charset=utf-8"
        elif self.path == "/plotly.min.js":
            body, kind = (Path(root) / "package_data/plotly.min.js").read_bytes(), "text/javascript"
        else:
            file = STATIC / self.path.lstrip("/")
            body, kind = file.read_bytes(), KINDS[file.suffix[1:]]
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Security-Policy", POLICY)
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}/"
    server.shutdown()
    server.server_close()


@pytest.fixture
def drawn(browser, address):
    opened = []

    def open_page(**options):
        context = browser.new_context(**{"viewport": {"width": 1240, "height": 900}, **options})
        opened.append(context)
        tab = context.new_page()
        tab.complaints = []
        tab.on("console", lambda message: tab.complaints.append(message.text))
        tab.on("pageerror", lambda error: tab.complaints.append(str(error)))
        tab.goto(address)
        tab.locator('[data-drawn="true"]').nth(1).wait_for(timeout=30_000)
        return tab

    yield open_page
    for context in opened:
        context.close()


BAND = "getComputedStyle(document.querySelector('[data-figure] .js-fill')).fill"


def test_charts_are_drawn_under_the_policy_without_a_complaint(drawn):
    tab = drawn()
    assert [text for text in tab.complaints if MAP_STYLE not in text] == []
    assert tab.locator("[data-figure] .main-svg").count() >= 2
    assert "webgl" not in tab.locator("body").inner_text().lower()


def test_charts_offer_no_button_at_all(drawn):
    tab = drawn()
    assert tab.locator(".modebar-btn").count() == 0
    assert "share chart" not in tab.locator("body").inner_text().lower()


def test_charts_take_the_colours_of_the_scheme_and_follow_a_change(drawn):
    tab = drawn(color_scheme="light")
    assert tab.evaluate(BAND) == "rgb(220, 203, 169)"  # --sludge-pale by day
    tab.emulate_media(color_scheme="dark")
    tab.wait_for_timeout(900)
    assert tab.evaluate(BAND) == "rgb(74, 61, 39)"  # and by night


def test_charts_fit_a_phone_without_the_words_beside_them(drawn):
    tab = drawn(viewport={"width": 390, "height": 800})
    assert tab.evaluate("document.documentElement.scrollWidth") <= 390
    assert "full, at the grid" not in tab.locator("[data-figure]").first.inner_text()


def test_charts_print_in_day_colours_at_the_width_of_a_sheet(drawn):
    tab = drawn(color_scheme="dark")
    tab.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert tab.evaluate("document.querySelector('.main-svg').getAttribute('width')") == "660"
    assert tab.evaluate(BAND) == "rgb(220, 203, 169)"
