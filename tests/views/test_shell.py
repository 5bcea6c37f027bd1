from __future__ import annotations

import re

import pytest
from django import forms
from django.contrib.auth import get_user_model
from django.test import Client, RequestFactory
from django.urls import reverse
from django.views.defaults import bad_request, server_error

from enclosures.models import Membership, Role
from enclosures.views.pages import MENU, menu_for, page_or_part
from tests.helpers import words_of

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("role", list(Role))
def test_menu_shows_each_role_exactly_the_pages_that_let_it_in(role, facility):
    user = get_user_model().objects.create_user(username="somebody", password="pw", initials="SB")
    Membership.objects.create(facility=facility, user=user, role=role)
    client = Client()
    client.force_login(user)
    shown = {link.label for link in menu_for(Membership(role=role), path="/")}
    for label, name in MENU:
        assert (client.get(reverse(name)).status_code == 200) == (label in shown), f"{label} for {role}"


def test_keepers_and_coordinators_see_their_own_menus():
    assert [link.label for link in menu_for(Membership(role=Role.KEEPER), path="/")][:3] == [
        "Round",
        "Filters",
        "Enclosures",
    ]
    assert "Filters" not in [link.label for link in menu_for(Membership(role=Role.COORDINATOR), path="/")]


def test_menu_of_a_stranger_is_empty():
    assert menu_for(None, path="/") == []


def test_menu_marks_the_page_itself_and_the_pages_below_it_differently():
    links = {link.label: link.current for link in menu_for(Membership(role=Role.KEEPER), path=reverse("animals"))}
    assert links == {label: "page" if label == "Animals" else "" for label in links}
    below = menu_for(Membership(role=Role.KEEPER), path=reverse("animal-life", args=["BL-104"]))
    assert [link.label for link in below if link.current == "true"] == ["Animals"]
    assert not [link for link in below if link.current == "page"]


def test_missing_address_says_so_and_leads_on(keeper):
    client = Client()
    client.force_login(keeper)
    answer = client.get("/no-such-page/")
    assert answer.status_code == 404
    words = words_of(answer.content.decode())
    assert "There is nothing at this address" in words
    assert "Enclosures" in words


def test_sign_in_keeps_the_name_and_says_what_is_wrong_beside_the_form(client, keeper):
    answer = client.post(reverse("sign-in"), {"username": "k1", "password": "wrong", "next": ""})
    page = answer.content.decode()
    assert 'role="alert"' in page
    assert 'value="k1"' in page
    assert "<title>Error: Sign in" in page
    assert "Traceback" not in page


def test_sign_out_is_a_button_not_a_link(keeper):
    client = Client()
    client.force_login(keeper)
    page = client.get(reverse("animals")).content.decode()
    form = re.search(rf'<form method="post" action="{reverse("sign-out")}">.*?</form>', page, re.S)
    assert form is not None
    assert "csrfmiddlewaretoken" in form[0]
    assert client.post(reverse("sign-out")).headers["Location"] == reverse("sign-in")


def test_every_page_carries_the_line_for_whoever_saw_it_on_paper(keeper):
    client = Client()
    client.force_login(keeper)
    words = words_of(client.get(reverse("animals")).content.decode())
    assert re.search(r"Printed \w{3} \d{1,2} \w{3} \d{4} \d\d:\d\d by K1, as known then\. Seen by", words)


class _Depth(forms.Form):
    depth = forms.DecimalField(label="Depth", help_text="From the floor.", max_value=200)


_Depth.base_fields["depth"].unit = "mm"


def test_field_puts_label_hint_error_and_unit_together_for_a_screen_reader():
    html = str(_Depth({"depth": "900"})["depth"].as_field_group())
    assert '<label for="id_depth">Depth</label>' in html
    assert 'aria-describedby="id_depth_helptext id_depth_error"' in html
    assert 'id="id_depth_helptext"' in html
    assert 'id="id_depth_error"' in html
    assert 'aria-invalid="true"' in html
    assert '<span class="unit">mm</span>' in html
    assert 'value="900"' in html


def test_htmx_gets_the_part_and_a_restored_tab_the_page(rf: RequestFactory):
    class _Htmx:
        history_restore_request = False

        def __bool__(self) -> bool:
            return True

    request = rf.get("/")
    assert page_or_part(request, "page", "part", {}).template_name == "page"
    request.htmx = _Htmx()
    assert page_or_part(request, "page", "part", {}).template_name == "part"
    request.htmx.history_restore_request = True
    assert page_or_part(request, "page", "part", {}).template_name == "page"


@pytest.mark.parametrize(
    ("fail", "said"),
    [(bad_request, "That could not be understood"), (server_error, "Something broke on our side")],
)
def test_a_failure_keeps_its_head_even_without_a_person_or_a_facility(rf: RequestFactory, fail, said):
    """Both pages are made outside the site's own middleware: nothing on them may count on it."""
    args = (Exception("bad"),) if fail is bad_request else ()
    page = fail(rf.get("/"), *args).content.decode()
    assert said in page
    assert "bad" not in words_of(page)


def test_a_page_sent_from_too_long_ago_says_to_send_it_again(keeper):
    client = Client(enforce_csrf_checks=True)
    client.force_login(keeper)
    answer = client.post(reverse("sign-out"))
    assert answer.status_code == 403
    assert "Please send it again" in answer.content.decode()
