"""The site as it is served: gunicorn with workers and threads, a database on the disk, so that two requests are truly at once."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from husbandry.env import scratch_folder

ROOT = Path(__file__).resolve().parents[2]
PLACES = 30 + 6 * int(os.environ.get("ROUNDS", "3"))  # tanks without animals, for one test each
STOPS = 14  # tanks with animals and a plan: the morning round
LAN_NAME = "logbook.test"  # .test is kept for tests (RFC 6761)
SECRET = "only-for-tests-" + "0123456789abcdef" * 4
STATION = f"""
import json
from datetime import date
from django.db import transaction
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY, get_user_model
from django.contrib.sessions.backends.db import SessionStore
from enclosures.models import Enclosure, Facility, Filter, FilterBuild, FoodComposition, FoodItem, Membership
from husbandry.accounts.devices import set_pin
from tests.boards.walk import lived_in, plan
transaction.set_autocommit(False)  # one commit, not a thousand
facility = Facility.objects.create(code="BL", name="Test station", time_zone="Europe/Paris")
pellet = FoodItem.objects.create(code="pellet", food_class="pellet", name="pellet")
FoodComposition.objects.create(food_item=pellet, moisture_percent=8, protein_percent=40)
for n in range({PLACES}):
    code = f"E{{n:02d}}"
    tank = Enclosure.objects.create(facility=facility, code=code, kind="tank", indoor=True, water_volume_l=400, surface_m2=1.3)
    filter = Filter.objects.create(enclosure=tank, code=code + "-F", commissioned_on=date(2024, 1, 1))
    FilterBuild.objects.create(filter=filter, valid_from=date(2024, 1, 1), chamber_area_m2=0.45, void_height_mm=150,
                               usable_fraction=0.75, baseline_flow_l_per_h=2400)
for n in range(1, {STOPS} + 1):
    plan(lived_in(facility, f"R{{n:02d}}", round_order=n), pellet, amount=10 + n, unit="g")
sessions = {{}}
for initials, role in (("K1", "keeper"), ("K2", "keeper"), ("SUP", "supervisor")):
    user = get_user_model().objects.create_user(username=initials.lower(), password="pw", initials=initials)
    Membership.objects.create(facility=facility, user=user, role=role)
    set_pin(user, "4711" if initials == "K2" else "8052")
    for _ in range(60 + {PLACES}):
        session = SessionStore()
        session[SESSION_KEY] = str(user.pk)
        session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
        session[HASH_SESSION_KEY] = user.get_session_auth_hash()
        session.save()
        sessions.setdefault(initials, []).append(session.session_key)
transaction.commit()
transaction.set_autocommit(True)
print(json.dumps(sessions))
"""


LISTENER = """
import contextlib, io, json, sys
from django.db import connection
for line in sys.stdin:
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(json.loads(line), {})
    connection.close()
    print(said.getvalue().strip().splitlines()[-1], flush=True)
"""


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@dataclass
class RealServer:
    """`run(code)` asks the database through the site's own models; `session(initials)` is a sign-in not used before."""

    database_url: str
    port: int = field(default_factory=free_port)
    sessions: dict[str, list[str]] = field(default_factory=dict)
    process: Any = None
    listener: Any = None
    media_root: str = field(default_factory=lambda: str(scratch_folder("media")))
    places: Any = field(default_factory=lambda: iter(f"E{n:02d}" for n in range(PLACES)))

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def _env(self) -> dict[str, str]:
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "DJANGO"))}
        return kept | {
            "DATABASE_URL": self.database_url,
            "MEDIA_ROOT": self.media_root,
            "DEBUG": "1",
            "ALLOWED_HOSTS": f"127.0.0.1,localhost,{LAN_NAME}",
            "SECRET_KEY": SECRET,
            "PYTHONDONTWRITEBYTECODE": "1",
        }

    def manage(self, *words: str) -> str:
        command = [sys.executable, "manage.py", *words]
        done = subprocess.run(command, cwd=ROOT, env=self._env, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr[-2000:]
        return done.stdout

    def run(self, code: str) -> Any:
        """The last line that `code` prints, read as JSON. One process listens for all of a test module."""
        if self.listener is None:
            self.listener = subprocess.Popen(
                [sys.executable, "manage.py", "shell", "-v", "0", "-c", LISTENER],
                cwd=ROOT,
                env=self._env,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
            )
        self.listener.stdin.write(json.dumps(code) + "\n")
        self.listener.stdin.flush()
        return json.loads(self.listener.stdout.readline())

    def set_up(self) -> None:
        self.manage("migrate", "-v", "0")
        self.sessions = self.run(STATION)

    def start(self, *, workers: int = 2, threads: int = 4) -> None:
        command = [
            sys.executable, "-m", "gunicorn", "husbandry.wsgi", "--bind", f"127.0.0.1:{self.port}", "--workers", str(workers),
            "--threads", str(threads), "--log-level", "error",
        ]  # fmt: skip
        self.process = subprocess.Popen(command, cwd=ROOT, env=self._env, start_new_session=True)
        for _ in range(200):
            try:
                with urllib.request.urlopen(f"{self.url}/health/", timeout=2):
                    return
            except OSError:
                time.sleep(0.1)
        raise AssertionError("the server did not start")

    def stop(self) -> None:
        if self.listener is not None:
            self.listener.communicate(timeout=20)  # no more is asked: it ends
            self.listener = None
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGTERM)
            self.process.wait(20)
            self.process = None

    def session(self, initials: str) -> str:
        return self.sessions[initials].pop()

    def place(self) -> str:
        """A tank that no test has used yet."""
        return str(next(self.places))

    def flows(self, place: str) -> list[dict[str, Any]]:
        """Every flow check of a tank's filter, first entered first."""
        return list(
            self.run(
                "import json; from enclosures.models import FlowCheck as F;"
                f"print(json.dumps([[str(r.entry), r.flow_l_per_h, r.entered_by, r.sent_by, r.flags, r.clock_offset_s,"
                f" r.occurred_at.timestamp(), r.entered_at.timestamp()] for r in F.all_rows.filter(filter__code='{place}-F')"
                ".order_by('pk')]))"
            )
        )

    def meals(self, place: str) -> list[list[Any]]:
        """Entry, grams, author, sender, flags of every meal of a tank, first entered first."""
        return list(
            self.run(
                "import json; from enclosures.models import Feeding as F;"
                f"print(json.dumps([[str(r.entry), sum(l.offered_g for l in r.lines.all()), r.entered_by, r.sent_by, r.flags]"
                f" for r in F.all_rows.filter(enclosure__code='{place}').order_by('pk')]))"
            )
        )
