"""manage.py demo: its own station, one sign-in per role, never a second time, never over somebody's records."""

from __future__ import annotations

from datetime import UTC, datetime
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from enclosures.models import Enclosure, Facility, Feeding, FilterOutlook, Membership, Role


@pytest.fixture(autouse=True)
def _its_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """The command reads the clock; here the clock stands on the evening of the station's own last day."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: datetime(2025, 10, 4, 18, tzinfo=UTC))


def run(**options: Any) -> str:
    out = StringIO()
    call_command("demo", no_serve=True, stdout=out, stderr=StringIO(), **options)
    return out.getvalue()


@pytest.mark.django_db
def test_the_station_is_made_once_with_a_sign_in_for_every_role(settings: Any, client: Any) -> None:
    settings.DEBUG = True
    told = run()
    assert Facility.objects.get().code == "BL"
    assert FilterOutlook.objects.filter(is_stale=False).count() == 8
    assert set(Membership.objects.values_list("role", flat=True)) == set(Role.values)
    for username in ("k1", "k2", "k3", "sup", "bld", "vet", "adm", "co", "reader"):
        assert f"  {username} " in told
        assert client.login(username=username, password="turtle-demo")
    n_before = Feeding.all_rows.count()
    run()
    assert Feeding.all_rows.count() == n_before
    assert Membership.objects.count() == 9


@pytest.mark.django_db
def test_another_facility_is_left_alone(settings: Any) -> None:
    settings.DEBUG = True
    Facility.objects.create(code="XY", name="Somebody's own station")
    with pytest.raises(CommandError, match=r"holds Somebody's own station \(XY\), not the demo"):
        run()
    assert not Enclosure.objects.exists()
    assert not Membership.objects.exists()


@pytest.mark.django_db
def test_known_passwords_are_refused_outside_debug(settings: Any) -> None:
    settings.DEBUG = False
    with pytest.raises(CommandError, match="DEBUG=1"):
        run()
    assert not Facility.objects.exists()


@pytest.mark.django_db
def test_an_impossible_port_is_refused_before_anything_is_made(settings: Any) -> None:
    settings.DEBUG = True
    with pytest.raises(CommandError, match="70000 is not a port"):
        run(port=70000)
    assert not Facility.objects.exists()
