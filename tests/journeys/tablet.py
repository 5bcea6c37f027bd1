"""A tablet that is switched on and off, and the real server it speaks to: fixtures and small acts for the tests without network."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from tests.browsing import FLAGS
from tests.journeys.real_server import RealServer

TABLET = {"width": 820, "height": 1180}
ROUNDS = int(os.environ.get("ROUNDS", "3"))


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealServer]:
    pytest.importorskip("playwright.sync_api", reason="playwright is in tests/requirements.txt")
    made = RealServer(f"sqlite:///{tmp_path_factory.mktemp('data') / 'station.sqlite3'}")
    made.set_up()
    made.start()
    yield made
    made.stop()


@pytest.fixture
def tablet(
    browser_driver: Any, chromium_program: str, server: RealServer, tmp_path: Path
) -> Iterator[Callable[..., Any]]:
    """`tablet("K1")` is a browser whose storage lies on the disk, signed in; called again, it is the same tablet, switched on anew."""
    open_now: list[Any] = []

    def close_all() -> None:
        for context in open_now:
            with suppress(Exception):  # one that was killed has nothing left to close
                context.close()
        open_now.clear()

    def switched_on(initials: str | None = "K1", *, service_workers: str = "block", **options: Any) -> Any:
        close_all()
        context = browser_driver.chromium.launch_persistent_context(
            tmp_path / "profile", executable_path=chromium_program, args=FLAGS, viewport=TABLET, has_touch=True,
            locale="en-GB", timezone_id="Europe/Paris", service_workers=service_workers, **options,
        )  # fmt: skip
        context.set_default_timeout(15_000)
        open_now.append(context)
        if initials:
            sign_in(context, server, initials)
        return context

    yield switched_on
    close_all()


def sign_in(context: Any, server: RealServer, initials: str) -> None:
    context.add_cookies([{"name": "sessionid", "value": server.session(initials), "url": server.url}])


def flow_page(context: Any, server: RealServer, place: str) -> Any:
    page = context.pages[0]
    page.goto(f"{server.url}/filters/{place}-F/flow-checks/")
    return page


def save_flow(page: Any, flow: int) -> None:
    page.locator("[name=flow_l_per_h]").fill(str(flow))
    page.locator("[data-save]").click()


def says(page: Any, words: str) -> None:
    page.locator("[data-status]", has_text=words).first.wait_for()


def unsent(page: Any) -> list[dict[str, Any]]:
    """What the device keeps, once the page's scripts have run."""
    for _ in range(100):
        kept = page.evaluate("globalThis.outbox ? outbox.list() : null")
        if kept is not None:
            return list(kept)
        page.wait_for_timeout(100)
    raise AssertionError("the scripts of the page never ran")


def all_gone(page: Any) -> None:
    """Until the device has nothing left."""
    for _ in range(150):
        if not unsent(page):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"still here: {unsent(page)}")


def flows_of(server: RealServer, place: str) -> list[float]:
    return [row[1] for row in server.flows(place)]  # type: ignore[index]


def kept_pages(page: Any, url: str) -> None:
    """Until the service worker has this address."""
    for _ in range(600):  # page by page: with many rounds the station has many tanks
        if page.evaluate("(url) => caches.match(url, { ignoreVary: true }).then(Boolean)", url):
            return
        page.wait_for_timeout(200)
    raise AssertionError(f"{url} was never kept")


def kill_browser(profile: Path) -> None:
    """As a flat battery would: the browser's own process, at once, with no chance to tidy up."""
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            words = (folder / "cmdline").read_bytes().decode(errors="replace").split("\0")
        except OSError:
            continue
        if f"--user-data-dir={profile}" in words and not any(word.startswith("--type=") for word in words):
            os.kill(int(folder.name), signal.SIGKILL)
