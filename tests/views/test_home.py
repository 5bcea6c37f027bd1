from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from tests.helpers import assert_reads_well, words_of

pytestmark = pytest.mark.django_db


def signed_in(user) -> Client:
    client = Client()
    client.force_login(user)
    return client


def test_home_asks_a_visitor_to_sign_in(client):
    answer = client.get(reverse("home"))
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith(reverse("sign-in"))


@pytest.mark.parametrize(
    ("who", "page"),
    [
        ("keeper", "todays-round"),
        ("supervisor", "filters-that-need-you"),
        ("administrator", "filters-that-need-you"),
        ("builder", "filters-that-need-you"),
        ("reader", "filters-that-need-you"),
        ("coordinator", "animals"),
    ],
)
def test_home_sends_each_role_to_its_first_page(who, page, request):
    answer = signed_in(request.getfixturevalue(who)).get(reverse("home"))
    assert answer.headers["Location"] == reverse(page)


def test_home_tells_a_stranger_kindly_that_they_have_no_role(stranger, facility):
    answer = signed_in(stranger).get(reverse("home"))
    assert answer.status_code == 403
    words = words_of(answer.content.decode())
    assert "You have no role here yet" in words
    assert "Ask an administrator" in words
    assert "Sign out" in words
    assert_reads_well(answer.content.decode())


def test_home_of_an_empty_database_says_how_to_begin(stranger):
    answer = signed_in(stranger).get(reverse("home"))
    assert answer.status_code == 200
    page = answer.content.decode()
    for way in ("manage.py demo", "manage.py import_records", "Ask an administrator to add the facility"):
        assert way in page


def test_other_pages_of_an_empty_database_say_how_to_begin_too(stranger):
    answer = signed_in(stranger).get(reverse("animals"))
    assert answer.status_code == 403
    assert "manage.py demo" in answer.content.decode()


def test_whoever_set_the_site_up_is_shown_how_to_take_a_role(stranger, facility):
    stranger.is_superuser = stranger.is_staff = True
    stranger.save()
    page = signed_in(stranger).get(reverse("home")).content.decode()
    assert reverse("admin:enclosures_membership_add") in page
    assert "Ask an administrator" not in page
