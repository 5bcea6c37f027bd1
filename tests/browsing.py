"""One browser for the whole run: Debian's Chromium, driven by Playwright. Two drivers in one process get into each other's way."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip


@pytest.fixture(scope="session")
def chromium_program() -> str:
    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if program is None:
        pytest.skip("Chromium is not installed (Debian: apt install chromium)")
    return program


@pytest.fixture(scope="session")
def browser_driver(chromium_program: str) -> Iterator[Any]:
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is in tests/requirements.txt")
    with sync_api.sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def browser(browser_driver: Any, chromium_program: str) -> Iterator[Any]:
    chromium = browser_driver.chromium.launch(executable_path=chromium_program, args=FLAGS)
    yield chromium
    chromium.close()
