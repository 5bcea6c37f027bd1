"""What the tests of pages share: a client that is somebody, on the day tests speak of."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import time_machine
from django.test import Client

from tests.conftest import NOW

HTMX = {"HX-Request": "true"}


def signed_in(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


@contextmanager
def on_the_day() -> Iterator[None]:
    """The clock of the site stands at NOW; sessions made before it still hold."""
    with time_machine.travel(NOW, tick=False):
        yield
