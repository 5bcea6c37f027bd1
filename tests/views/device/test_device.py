"""What the server tells a tablet, and whose entry it takes from it."""

from __future__ import annotations

import json
import re
import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.test import Client
from django.urls import reverse

from enclosures.models import FlowCheck, Membership
from enclosures.verdicts.data_flags import meaning
from husbandry.accounts.devices import COOKIE, hash_of, set_pin
from husbandry.accounts.models import Device
from tests.actions.station import make_enclosure, make_filter
from tests.conftest import NOW
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import HTMX, on_the_day, signed_in

FLOW = "/filters/P1-F/flow-checks/"


@pytest.fixture
def pond_filter(facility: Any) -> Any:
    return make_filter(make_enclosure(facility, "P1"), baseline_flow_l_per_h=2400)


def enrolled(client: Client, *, name: str = "Tablet by the ponds") -> Device:
    """This client is a shared tablet from now on."""
    answer = client.post(reverse("enrol-device"), {"name": name})
    assert answer.status_code == 302
    return Device.objects.get(name=name)


def tablet_of(supervisor: Any, user: Any) -> Client:
    client = signed_in(supervisor)
    with on_the_day():
        enrolled(client)
    client.force_login(user)
    return client


def post(client: Client, **data: Any) -> Any:
    sent = {"when": "now", "flow_l_per_h": "1900", "entry": str(uuid.uuid4()), **data}
    with on_the_day():
        return client.post(FLOW, sent, headers=HTMX)


# the token ----------------------------------------------------------------------------------------------------------------


def test_the_token_says_who_is_signed_in_and_the_time_and_is_never_cached(keeper: Any) -> None:
    with on_the_day():
        answer = signed_in(keeper).get("/device/token/")
    told = answer.json()
    assert (told["person"], told["enrolled"], told["may_send_for_others"]) == ("K1", False, False)
    assert told["now"] == NOW.isoformat()
    assert "no-store" in answer.headers["Cache-Control"]
    assert answer.cookies["csrftoken"].value
    assert len(told["csrf"]) == 64


def test_nobody_signed_in_is_told_so_and_not_led_elsewhere(facility: Any, stranger: Any) -> None:
    """A redirect to the sign-in page would look like success to a script."""
    assert Client().get("/device/token/").status_code == 401
    assert signed_in(stranger).get("/device/token/").status_code == 401


# author and sender --------------------------------------------------------------------------------------------------------


def test_an_unenrolled_tablet_sends_only_what_its_person_made(pond_filter: Any, keeper: Any, other_keeper: Any) -> None:
    assert post(signed_in(keeper), author="K1").status_code == 201
    refused = post(signed_in(keeper), author="K2")
    assert refused.status_code == 403
    assert FlowCheck.all_rows.count() == 1
    assert FlowCheck.all_rows.get().sent_by == ""


def test_an_enrolled_tablet_sends_for_its_people_and_both_names_are_kept(
    pond_filter: Any, supervisor: Any, keeper: Any, other_keeper: Any
) -> None:
    client = tablet_of(supervisor, keeper)
    with on_the_day():
        assert client.get("/device/token/").json()["enrolled"] is True
    assert post(client, author="K2").status_code == 201
    record = FlowCheck.all_rows.get()
    assert (record.entered_by, record.sent_by) == ("K2", "K1")


@pytest.mark.parametrize("author", ["VET", "RD", "X", "nobody"])
def test_an_author_must_be_one_who_may_log_that(
    pond_filter: Any, supervisor: Any, keeper: Any, veterinarian: Any, reader: Any, stranger: Any, author: str
) -> None:
    client = tablet_of(supervisor, keeper)
    assert post(client, author=author).status_code == 403
    assert FlowCheck.all_rows.count() == 0


def test_a_revoked_tablet_is_a_stranger_again(
    pond_filter: Any, supervisor: Any, keeper: Any, other_keeper: Any
) -> None:
    client = tablet_of(supervisor, keeper)
    device = Device.objects.get()
    with on_the_day():
        signed_in(supervisor).post(reverse("revoke-device", args=(device.pk,)))
    with on_the_day():
        assert client.get("/device/token/").json()["enrolled"] is False
    assert post(client, author="K2").status_code == 403
    device.refresh_from_db()
    assert device.revoked_by == "SUP"


def test_a_forged_or_copied_hash_enrols_nothing(pond_filter: Any, supervisor: Any, keeper: Any) -> None:
    """Who reads the database has the hash; the cookie needs the token, signed."""
    client = tablet_of(supervisor, keeper)
    token = client.cookies[COOKIE].value.split(":")[0]
    device = Device.objects.get()
    assert device.token_hash == hash_of(token)
    for forged in (token, device.token_hash, f"{device.token_hash}:1abc:xyz"):
        other = signed_in(keeper)
        other.cookies[COOKIE] = forged
        with on_the_day():
            assert other.get("/device/token/").json()["enrolled"] is False


def test_a_supervisor_sends_a_downloaded_file_under_the_authors_names(
    pond_filter: Any, supervisor: Any, keeper: Any
) -> None:
    assert post(signed_in(supervisor), author="K1").status_code == 201
    record = FlowCheck.all_rows.get()
    assert (record.entered_by, record.sent_by) == ("K1", "SUP")


def test_a_name_picked_without_a_pin_is_taken_from_that_person_or_from_a_supervisor_who_vouches(
    pond_filter: Any, supervisor: Any, keeper: Any, other_keeper: Any
) -> None:
    client = tablet_of(supervisor, keeper)
    refused = post(client, author="K2", unconfirmed="1")
    assert refused.status_code == 403
    assert "K2 has not yet confirmed" in words_of(refused.content.decode())
    client.force_login(other_keeper)
    assert post(client, author="K2", unconfirmed="1").status_code == 201
    client.force_login(supervisor)
    assert post(client, author="K2", unconfirmed="1").status_code == 201
    assert list(FlowCheck.all_rows.order_by("pk").values_list("entered_by", "sent_by")) == [("K2", ""), ("K2", "SUP")]


def test_a_sign_in_has_a_name_that_changes_with_the_next_and_is_not_its_key(supervisor: Any, keeper: Any) -> None:
    set_pin(keeper, "8052")
    client = tablet_of(supervisor, keeper)
    with on_the_day():
        first = client.get("/device/token/").json()["sitting"]
        assert f'data-sitting="{first}"' in client.get("/enclosures/").content.decode()
        client.post("/person/", {"person": keeper.pk, "pin": "8052"})  # the same person, by the PIN
        second = client.get("/device/token/").json()["sitting"]
    assert len({first, second, client.cookies["sessionid"].value}) == 3


def test_names_without_a_pin_are_offered_on_an_enrolled_tablet_only(
    supervisor: Any, keeper: Any, other_keeper: Any, reader: Any, coordinator: Any
) -> None:
    client = tablet_of(supervisor, keeper)
    with on_the_day():
        page = client.get("/device/person/").content.decode()
        assert signed_in(keeper).get("/device/person/").status_code == 403
        assert "/device/person/" in client.get("/device/roster/").json()["pages"]
        assert "/device/person/" not in signed_in(keeper).get("/device/roster/").json()["pages"]
    assert re.findall(r'data-take="(\w+)"', page) == ["K1", "K2", "SUP"]
    assert_reads_well(page)


def test_a_supervisor_sees_from_anywhere_what_lies_on_a_tablet_under_a_name_without_a_pin(
    supervisor: Any, keeper: Any
) -> None:
    client = tablet_of(supervisor, keeper)
    held = [{"author": "K2", "label": "Check the flow, P1-F", "at": NOW.isoformat()}]
    with on_the_day():
        assert client.post("/device/unconfirmed/", {"held": json.dumps(held)}).status_code == 204
        words = words_of(signed_in(supervisor).get("/device/enrol/").content.decode())
        assert "Names not yet confirmed" in words
        assert "Check the flow, P1-F, as K2" in words
        for nonsense in ("", "{}x", '[{"author": "K2"}]', "7"):
            assert client.post("/device/unconfirmed/", {"held": nonsense}).status_code == 422
        assert signed_in(keeper).post("/device/unconfirmed/", {"held": "[]"}).status_code == 403
        assert client.post("/device/unconfirmed/", {"held": "[]"}).status_code == 204
        assert "Names not yet confirmed" not in words_of(signed_in(supervisor).get("/device/enrol/").content.decode())


# the clock ----------------------------------------------------------------------------------------------------------------


def told_clock(*, ahead_at_tap: timedelta, ahead_now: timedelta, seen: timedelta | None, waited: timedelta) -> dict:
    """What a device sends whose clock stood so far ahead at the tap and now; `seen` at its last contact before the tap."""
    told = {
        "device_at": (NOW - waited + ahead_at_tap).isoformat(),
        "sent_at": (NOW + ahead_now).isoformat(),
    }
    return told if seen is None else told | {"clock_offset_s": str(round(seen.total_seconds()))}


RIGHT, TWO_H, LONG = timedelta(0), timedelta(hours=2), timedelta(hours=5)


@pytest.mark.parametrize(
    ("ahead_at_tap", "ahead_now", "seen", "marked"),
    [
        (RIGHT, RIGHT, RIGHT, False),
        (RIGHT, RIGHT, None, False),
        (TWO_H, TWO_H, TWO_H, True),  # wrong all along
        (-TWO_H, -TWO_H, None, True),  # wrong, and never in contact before
        (TWO_H, RIGHT, TWO_H, True),  # set right between tap and sending
        (TWO_H, TWO_H, RIGHT, True),  # went wrong after the last contact, before the tap
    ],
)
def test_the_time_of_an_entry_is_put_right_whatever_the_tablets_clock_says(
    pond_filter: Any, keeper: Any, ahead_at_tap: timedelta, ahead_now: timedelta, seen: timedelta | None, marked: bool
) -> None:
    told = told_clock(ahead_at_tap=ahead_at_tap, ahead_now=ahead_now, seen=seen, waited=LONG)
    assert post(signed_in(keeper), **told).status_code == 201
    record = FlowCheck.all_rows.get()
    assert record.occurred_at == NOW - LONG
    assert ("CLK" in record.flags) == marked
    assert record.device_at == NOW - LONG + ahead_at_tap
    assert "wrong clock" in meaning("CLK").words(1)


@pytest.mark.parametrize("seen", ["abc", "", "99999999999999"])
def test_nonsense_about_the_clock_is_not_believed(pond_filter: Any, keeper: Any, seen: str) -> None:
    told = told_clock(ahead_at_tap=RIGHT, ahead_now=RIGHT, seen=None, waited=LONG)
    assert post(signed_in(keeper), clock_offset_s=seen, **told).status_code == 201
    assert FlowCheck.all_rows.get().occurred_at == NOW - LONG


def test_a_clock_that_believes_in_1970_is_marked(pond_filter: Any, keeper: Any) -> None:
    assert post(signed_in(keeper), device_at="1970-01-01T00:05:00Z", sent_at=NOW.isoformat()).status_code == 201
    record = FlowCheck.all_rows.get()
    assert record.occurred_at == NOW
    assert "CLK" in record.flags


# what a tablet keeps ------------------------------------------------------------------------------------------------------


def test_the_roster_names_pages_this_person_may_open_and_no_place_out_of_use(
    pond_filter: Any, facility: Any, keeper: Any, veterinarian: Any
) -> None:
    make_enclosure(facility, "OLD", closed_on=NOW.date())
    with on_the_day():
        told = signed_in(keeper).get("/device/roster/").json()
        client = signed_in(keeper)
        assert {client.get(url).status_code for url in told["pages"]} == {200}
        of_the_vet = signed_in(veterinarian).get("/device/roster/").json()["pages"]
    assert told["person"] == "K1"
    assert told["pages"][0] == reverse("todays-round")
    assert "/enclosures/P1/feedings/" in told["pages"]
    assert not [url for url in told["pages"] if "OLD" in url]
    assert "/enclosures/P1/health-notes/" in of_the_vet
    assert "/enclosures/P1/feedings/" not in of_the_vet


def test_every_page_says_whose_it_is_and_no_page_after_signing_out(keeper: Any) -> None:
    client = signed_in(keeper)
    assert client.get("/enclosures/").headers["X-Person"] == "K1"
    out = client.post("/sign-out/")
    assert out.status_code == 302
    assert "X-Person" not in out.headers
    assert "X-Person" not in Client().get("/device/offline/").headers


def test_a_page_fetched_to_be_kept_eats_no_message(keeper: Any, supervisor: Any) -> None:
    client = signed_in(supervisor)
    enrolled(client)  # leaves a message for the next page
    kept = client.get("/enclosures/", headers={"X-Keep": "1"}).content.decode()
    assert "shared tablet" not in kept
    assert "shared tablet" in client.get("/enclosures/").content.decode()


def test_the_service_worker_comes_from_the_root_and_is_never_cached(db: None) -> None:
    answer = Client().get("/service-worker.js")
    script = answer.content.decode()
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "no-store" in answer.headers["Cache-Control"]
    assert "{{" not in script
    assert "{%" not in script
    assert re.search(r'VERSION = "[0-9a-f]{8}"', script)
    assert 'method !== "GET"' in script


def test_the_manifest_names_icons_that_are_there(facility: Any) -> None:
    from django.contrib.staticfiles import finders

    answer = Client().get("/manifest.webmanifest")
    told = json.loads(answer.content)
    assert answer.headers["Content-Type"] == "application/manifest+json"
    assert told["display"] == "standalone"
    assert {icon["sizes"] for icon in told["icons"]} >= {"192x192", "512x512"}
    for icon in told["icons"]:
        assert finders.find(icon["src"].removeprefix("/static/")), icon["src"]


def test_with_hashed_names_as_on_a_real_site_the_worker_the_manifest_and_the_pages_name_files_that_are_there(
    facility: Any, keeper: Any, settings: Any, tmp_path: Any
) -> None:
    from django.core.management import call_command

    settings.STATIC_ROOT = tmp_path
    hashed = {"BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"}
    settings.STORAGES = {**settings.STORAGES, "staticfiles": hashed}
    call_command("collectstatic", interactive=False, verbosity=0)
    client = signed_in(keeper)
    assert 'STATIC = "/static/"' in client.get("/service-worker.js").content.decode()
    pages = [client.get(path).content.decode() for path in ("/manifest.webmanifest", "/device/outbox/", "/enclosures/")]
    names = set(re.findall(r"/static/([^\"' ]+)", " ".join(pages)))
    assert len(names) > 6
    assert not [name for name in names if not (tmp_path / name).is_file() or not re.search(r"\.[0-9a-f]{12}\.", name)]
    joined = next(name for name in names if name.startswith("js/keep."))
    assert all(word in (tmp_path / joined).read_text() for word in ("indexedDB", "X-Entry", "data-unsent", "noscript"))


@pytest.mark.parametrize("path", ["/device/outbox/", "/device/offline/", "/device/secure/", "/device/outbox/upload/"])
def test_the_pages_of_the_device_read_well(supervisor: Any, path: str) -> None:
    page = signed_in(supervisor).get(path).content.decode()
    assert_reads_well(re.sub(r"<pre>.*?</pre>|<template.*?</template>", "", page, flags=re.S))
    assert "<h1" in page


def test_the_page_for_no_network_names_nobody(keeper: Any) -> None:
    words = words_of(Client().get("/device/offline/").content.decode())
    assert "No network here" in words
    assert "K1" not in words


def test_only_who_corrects_may_load_a_file_of_others_entries(keeper: Any, supervisor: Any) -> None:
    assert signed_in(keeper).get("/device/outbox/upload/").status_code == 403
    assert "Load a downloaded file" not in signed_in(keeper).get("/device/outbox/").content.decode()
    assert signed_in(supervisor).get("/device/outbox/upload/").status_code == 200


def test_counter_and_scripts_are_on_pages_of_those_who_log_and_of_nobody_else(
    keeper: Any, reader: Any, coordinator: Any
) -> None:
    page = signed_in(keeper).get("/enclosures/").content.decode()
    assert "data-unsent" in page
    assert "js/keep.js" in page
    assert 'data-person="K1"' in page
    for user, path in ((reader, "/enclosures/"), (coordinator, "/program/")):
        page = signed_in(user).get(path).content.decode()
        assert "data-unsent" not in page
        assert "js/keep.js" not in page


def test_a_meal_that_lay_on_a_tablet_is_kept_and_marked_where_one_is_on_record(
    facility: Any, keeper: Any, other_keeper: Any
) -> None:
    """Nobody is there to be asked any more: never merged in silence, never lost."""
    from enclosures.models import Feeding
    from tests.actions.station import make_pellet

    make_enclosure(facility, "P1")
    pellet = make_pellet()
    data = {"fed": "yes", "slot": "am", "when": "now", f"amount_{pellet.pk}": "12", f"unit_{pellet.pk}": "g"}

    def feed(user: Any, **more: str) -> int:
        with on_the_day():
            sent = {**data, "entry": str(uuid.uuid4()), **more}
            return signed_in(user).post("/enclosures/P1/feedings/", sent, headers=HTMX).status_code

    assert feed(keeper) == 201
    assert feed(other_keeper) == 422, "with the person there, it asks"
    assert feed(other_keeper, queued="1") == 201
    assert feed(keeper, queued="1") == 201, "the same person, twice without network"
    assert [meal.flags for meal in Feeding.all_rows.order_by("pk")] == [[], ["DUP"], ["DUP"]]
    known = str(Feeding.all_rows.last().entry)
    assert feed(keeper, queued="1", known_meal=known) == 201, "asked on the tablet, and said to be one more"
    assert feed(keeper, known_meal=known) == 201, "nor asked a second time"
    assert [meal.flags for meal in Feeding.all_rows.order_by("pk")][3:] == [[], []]


def test_membership_that_has_ended_sends_nothing(
    pond_filter: Any, supervisor: Any, keeper: Any, other_keeper: Any
) -> None:
    client = tablet_of(supervisor, keeper)
    Membership.objects.filter(user=other_keeper).delete()
    assert get_user_model().objects.filter(initials="K2").exists()
    assert post(client, author="K2").status_code == 403
