"""The standing people and the standing day. Time is passed in everywhere below the views; TODAY is the day tests speak of."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

import pytest

from tests.browsing import browser, browser_driver, chromium_program  # noqa: F401  (fixtures)

# Playwright's synchronous driver runs an event loop in this thread; the tests still use the ORM there, from one thread only.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

TODAY = date(2025, 10, 4)
NOW = datetime(2025, 10, 4, 8, 30, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _no_outside_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """The tool works with no network beyond its server; so must its tests."""
    connect = socket.socket.connect

    def only_this_machine(self: socket.socket, address: Any) -> None:
        host = address[0] if isinstance(address, tuple) else address
        if self.family != socket.AF_UNIX and host not in {"127.0.0.1", "::1", "localhost"}:
            raise AssertionError(f"A test tried to reach {host}.")
        connect(self, address)

    monkeypatch.setattr(socket.socket, "connect", only_this_machine)


@pytest.fixture(autouse=True)
def _plain_writes_for_flush(request: pytest.FixtureRequest) -> Iterator[None]:
    """Tests that commit empty their tables afterwards, which the guards would refuse; the flush's post_migrate sets them again."""
    commits = "transactional_db" in request.fixturenames or "live_server" in request.fixturenames
    marker = request.node.get_closest_marker("django_db")
    commits = commits or bool(marker and marker.kwargs.get("transaction"))
    if commits:
        request.getfixturevalue("transactional_db")
    yield
    if commits:
        from enclosures.models.guards import remove_guards

        remove_guards()


@pytest.fixture
def facility(db: None) -> Any:
    from enclosures.models import Facility

    return Facility.objects.create(code="BL", name="Test station", time_zone="Europe/Paris")


def _person(facility: Any, *, initials: str, role: str, program: str = "") -> Any:
    from django.contrib.auth import get_user_model

    from enclosures.models import Membership

    user = get_user_model().objects.create_user(username=initials.lower(), password="pw", initials=initials)
    Membership.objects.create(facility=facility, user=user, role=role, program=program)
    return user


@pytest.fixture
def keeper(facility: Any) -> Any:
    return _person(facility, initials="K1", role="keeper")


@pytest.fixture
def other_keeper(facility: Any) -> Any:
    return _person(facility, initials="K2", role="keeper")


@pytest.fixture
def supervisor(facility: Any) -> Any:
    return _person(facility, initials="SUP", role="supervisor")


@pytest.fixture
def builder(facility: Any) -> Any:
    return _person(facility, initials="BLD", role="builder")


@pytest.fixture
def veterinarian(facility: Any) -> Any:
    return _person(facility, initials="VET", role="veterinarian")


@pytest.fixture
def administrator(facility: Any) -> Any:
    return _person(facility, initials="ADM", role="administrator")


@pytest.fixture
def coordinator(facility: Any) -> Any:
    return _person(facility, initials="CO", role="coordinator", program="SM-PA-23")


@pytest.fixture
def reader(facility: Any) -> Any:
    return _person(facility, initials="RD", role="reader")


@pytest.fixture
def stranger(db: None) -> Any:
    """Signed in, and no member of this facility."""
    from django.contrib.auth import get_user_model

    return get_user_model().objects.create_user(username="stranger", password="pw", initials="X")
