"""Six connections post one entry at the same instant, again and again, on a real server: one row each time, and all get a receipt.

What holds it on PostgreSQL is the unique constraint on `entry`: with it dropped, the same fifty rounds make doubles
(`test_without_the_constraint_...` shows that this test can fail). SQLite lets one transaction write at a time, and the look for the
entry is inside it, so there the constraint is the second lock on the door.
"""

from __future__ import annotations

import http.client
import threading
import urllib.parse
import uuid
from collections.abc import Iterator
from typing import Any

import pytest

from tests.journeys.real_server import RealServer
from tests.postgres.test_on_postgresql import database_url as _postgresql

N_ROUNDS = 50
N_AT_ONCE = 6  # with two, only one round in fifty met in the gap between looking and inserting
ANSWERS = [200] * (N_AT_ONCE - 1) + [201]
postgresql = _postgresql  # a throw-away server, as the PostgreSQL tests start it


@pytest.fixture(scope="module")
def sqlite_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealServer]:
    server = RealServer(f"sqlite:///{tmp_path_factory.mktemp('data') / 'station.sqlite3'}")
    server.set_up()
    server.start(workers=3, threads=2)
    yield server
    server.stop()


class Client:
    """One signed-in connection that is kept open, so that a post is a single write to a socket."""

    def __init__(self, server: RealServer) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=30)
        self.session = server.session("K1")
        self.token = self._ask("GET", "/device/token/")[1]

    def _ask(self, method: str, path: str, body: str = "", **headers: str) -> tuple[int, str, str]:
        cookies = f"sessionid={self.session}" + (f"; csrftoken={self.secret}" if method == "POST" else "")
        self.connection.request(method, path, body, {"Cookie": cookies, **headers})
        answer = self.connection.getresponse()
        text = answer.read().decode()
        if method == "GET":
            self.secret = answer.headers["Set-Cookie"].partition("csrftoken=")[2].partition(";")[0]
        return answer.status, text, answer.headers.get("X-Entry", "")

    def post(self, path: str, data: dict[str, str]) -> tuple[int, str, str]:
        headers = {
            "Content-Type": "application/x-www-form-urlencoded",
            "X-CSRFToken": self.secret,
            "HX-Request": "true",
        }
        return self._ask("POST", path, urllib.parse.urlencode(data), **headers)


def post_at_once(server: RealServer, *, place: str, rounds: int) -> list[tuple[str, list[tuple[int, str]]]]:
    """Each round: one entry, all connections, one barrier. Returns the entry and the answers (status, X-Entry)."""
    clients = [Client(server) for _ in range(N_AT_ONCE)]
    told = []
    for _ in range(rounds):
        entry = str(uuid.uuid4())
        barrier = threading.Barrier(N_AT_ONCE)
        answers: list[tuple[int, str]] = []

        def go(client: Client, entry: str = entry, barrier: Any = barrier, answers: Any = answers) -> None:
            barrier.wait()
            status, _, receipt = client.post(
                f"/filters/{place}-F/flow-checks/", {"when": "now", "flow_l_per_h": "1900", "entry": entry}
            )
            answers.append((status, receipt))

        threads = [threading.Thread(target=go, args=(client,)) for client in clients]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        told.append((entry, answers))
    for client in clients:
        client.connection.close()
    return told


def rows_of(server: RealServer, place: str) -> list[str]:
    return [row[0] for row in server.flows(place)]  # type: ignore[index]


def test_one_entry_posted_by_six_connections_at_once_is_one_row(sqlite_server: RealServer) -> None:
    place = sqlite_server.place()
    told = post_at_once(sqlite_server, place=place, rounds=N_ROUNDS)
    assert sorted(rows_of(sqlite_server, place)) == sorted(entry for entry, _ in told)
    for entry, answers in told:
        assert sorted(status for status, _ in answers) == ANSWERS
        assert {receipt for _, receipt in answers} == {entry}


@pytest.fixture(scope="module")
def postgresql_server(postgresql: str) -> Iterator[RealServer]:
    server = RealServer(postgresql)
    server.set_up()
    server.start(workers=3, threads=2)
    yield server
    server.stop()


@pytest.mark.postgres
def test_one_entry_posted_at_once_is_one_row_on_postgresql_too(postgresql_server: RealServer) -> None:
    place = postgresql_server.place()
    told = post_at_once(postgresql_server, place=place, rounds=N_ROUNDS)
    assert sorted(rows_of(postgresql_server, place)) == sorted(entry for entry, _ in told)
    assert all(sorted(status for status, _ in answers) == ANSWERS for _, answers in told)


@pytest.mark.postgres
def test_without_the_constraint_the_same_rounds_make_doubles_so_the_test_can_fail(
    postgresql_server: RealServer,
) -> None:
    postgresql_server.run(
        "from django.db import connection; from enclosures.models import FlowCheck as F; t = F._meta.db_table; c = connection.cursor();"
        "names = [n for n, d in connection.introspection.get_constraints(c, t).items() if d['unique'] and d['columns'] == ['entry']];"
        "[c.execute(f'ALTER TABLE {t} DROP CONSTRAINT {n}') for n in names]; print(len(names))"
    )
    place = postgresql_server.place()
    told = post_at_once(postgresql_server, place=place, rounds=N_ROUNDS)
    assert len(rows_of(postgresql_server, place)) > len(told)
