"""A shared tablet and its people: who may enrol one, and what four digits are good for."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from husbandry.accounts.devices import WRONG_TRIES, set_pin
from husbandry.accounts.models import Device, Pin
from tests.conftest import NOW
from tests.views.pages import signed_in

PIN = "4711"


@pytest.fixture
def tablet(supervisor: Any, other_keeper: Any) -> Client:
    """An enrolled tablet with nobody signed in; K2 has a PIN."""
    client = signed_in(supervisor)
    with time_machine.travel(NOW, tick=False):
        client.post(reverse("enrol-device"), {"name": "Tablet by the ponds"})
        client.post(reverse("sign-out"))
        set_pin(other_keeper, PIN)
    return client


def take_over(client: Client, user: Any, pin: str, *, after: timedelta = timedelta(0), **more: str) -> Any:
    with time_machine.travel(NOW + after, tick=False):
        return client.post(reverse("change-person"), {"person": user.pk, "pin": pin, **more})


def person_of(client: Client) -> str:
    with time_machine.travel(NOW, tick=False):
        return str(client.session.get("_auth_user_id", ""))


def test_on_an_enrolled_tablet_a_pin_takes_over(tablet: Client, other_keeper: Any) -> None:
    with time_machine.travel(NOW, tick=False):
        page = tablet.get(reverse("change-person")).content.decode()
    assert "K2" in page
    answer = take_over(tablet, other_keeper, PIN, next="/round/")
    assert (answer.status_code, answer["Location"]) == (302, "/round/")
    assert person_of(tablet) == str(other_keeper.pk)


def test_elsewhere_the_right_pin_opens_nothing(tablet: Client, other_keeper: Any) -> None:
    stranger = Client()
    assert take_over(stranger, other_keeper, PIN).status_code == 403
    assert person_of(stranger) == ""


def test_taking_over_leads_to_this_site_only(tablet: Client, other_keeper: Any) -> None:
    answer = take_over(tablet, other_keeper, PIN, next="https://elsewhere.example/")
    assert answer["Location"] == "/"


def test_five_wrong_tries_lock_for_five_minutes_even_for_the_right_pin(tablet: Client, other_keeper: Any) -> None:
    for _ in range(WRONG_TRIES):
        assert "This is not the PIN." in take_over(tablet, other_keeper, "9999").content.decode()
    locked = take_over(tablet, other_keeper, PIN)
    assert locked.status_code == 422
    assert "Locked after five wrong tries" in locked.content.decode()
    assert take_over(tablet, other_keeper, PIN, after=timedelta(minutes=4, seconds=59)).status_code == 422
    assert person_of(tablet) == ""
    assert take_over(tablet, other_keeper, PIN, after=timedelta(minutes=5)).status_code == 302


def test_a_right_pin_forgives_the_wrong_ones_before_it(tablet: Client, other_keeper: Any) -> None:
    for _ in range(3):
        for _ in range(WRONG_TRIES - 1):
            take_over(tablet, other_keeper, "9999")
        assert take_over(tablet, other_keeper, PIN).status_code == 302


def test_the_pin_is_kept_as_a_hash(other_keeper: Any) -> None:
    set_pin(other_keeper, PIN)
    assert PIN not in Pin.objects.get().hash


@pytest.mark.parametrize("who", ["administrator", "reader", "coordinator", "stranger"])
def test_a_pin_never_opens_what_is_not_logging(tablet: Client, who: str, request: Any) -> None:
    """Not an administrator either: four digits shall not change who may do what."""
    user = request.getfixturevalue(who)
    set_pin(user, PIN)
    assert take_over(tablet, user, PIN).status_code == 422
    assert person_of(tablet) == ""
    assert signed_in(user).get(reverse("set-pin")).status_code == 403


@pytest.mark.parametrize("column", ["is_staff", "is_superuser"])
def test_a_pin_never_opens_the_admin_site(tablet: Client, other_keeper: Any, column: str) -> None:
    setattr(other_keeper, column, True)
    other_keeper.save()
    assert take_over(tablet, other_keeper, PIN).status_code == 422


def test_who_has_left_is_not_among_the_people(tablet: Client, other_keeper: Any) -> None:
    other_keeper.is_active = False
    other_keeper.save()
    assert take_over(tablet, other_keeper, PIN).status_code == 422


@pytest.mark.parametrize(
    ("pin", "again", "said"),
    [
        ("123", "123", "four to six digits"),
        ("1234567", "1234567", "four to six digits"),
        ("12a4", "12a4", "four to six digits"),
        ("7777", "7777", "anybody would try"),
        ("1234", "1234", "anybody would try"),
        ("4711", "4712", "not the same"),
    ],
)
def test_a_poor_pin_is_refused_with_its_reason(keeper: Any, pin: str, again: str, said: str) -> None:
    answer = signed_in(keeper).post(reverse("set-pin"), {"pin": pin, "again": again})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Pin.objects.exists()


def test_people_set_their_own_pin(keeper: Any) -> None:
    assert signed_in(keeper).post(reverse("set-pin"), {"pin": "80520", "again": "80520"}).status_code == 302
    assert Pin.objects.get().user == keeper


@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("supervisor", 200),
        ("administrator", 200),
        ("keeper", 403),
        ("builder", 403),
        ("reader", 403),
        ("stranger", 403),
    ],
)
def test_supervisor_and_administrator_enrol_tablets(facility: Any, who: str, status: int, request: Any) -> None:
    assert signed_in(request.getfixturevalue(who)).get(reverse("enrol-device")).status_code == status


def test_a_tablet_without_a_name_is_refused_in_words(supervisor: Any) -> None:
    answer = signed_in(supervisor).post(reverse("enrol-device"), {"name": " "})
    assert answer.status_code == 422
    assert "Give it a name" in answer.content.decode()
    assert not Device.objects.exists()


def test_the_menu_offers_a_change_of_person_on_a_shared_tablet_only(tablet: Client, keeper: Any) -> None:
    with time_machine.travel(NOW, tick=False):
        tablet.force_login(keeper)
        assert "Change person" in tablet.get("/enclosures/").content.decode()
        assert "Change person" not in signed_in(keeper).get("/enclosures/").content.decode()
