"""Sending a photo to an entry: its own receipt, its own refusal, and only by whoever may."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from enclosures.models import Enclosure, HealthNote, Photo, RoundCheck, Sounding
from tests.pictures import jpeg
from tests.views.pages import HTMX, on_the_day, signed_in

pytestmark = pytest.mark.django_db


def file(data: bytes | None = None, name: str = "IMG_1.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data if data is not None else jpeg(with_place=True), content_type="image/jpeg")


def noted(client: Client, entry: uuid.UUID, code: str = "P1") -> Any:
    return client.post(
        f"/enclosures/{code}/health-notes/", {"text": "Foam", "when": "now", "entry": str(entry)}, headers=HTMX
    )


def sent(client: Client, of_entry: Any, table: str = "healthnote", *, entry: Any = None, **more: Any) -> Any:
    data = {"photo": file(), "entry": str(entry or uuid.uuid4()), "caption": "Foam", **more}
    return client.post(f"/entries/{table}/{of_entry}/photos/", data, headers=HTMX)


@pytest.fixture
def note(pond: Enclosure, keeper: Any) -> uuid.UUID:
    entry = uuid.uuid4()
    assert noted(signed_in(keeper), entry).status_code == 201
    return entry


def test_a_photo_sent_is_answered_with_its_own_receipt_and_sent_again_is_one(note: uuid.UUID, keeper: Any) -> None:
    client, entry = signed_in(keeper), uuid.uuid4()
    answers = [sent(client, note, entry=entry) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 200]
    assert {answer.headers["X-Entry"] for answer in answers} == {str(entry)}
    photo = Photo.objects.get()
    assert (photo.entry, photo.of_entry, photo.entered_by, photo.caption) == (entry, note, "K1", "Foam")


def test_a_photo_is_dated_by_when_it_was_taken(note: uuid.UUID, keeper: Any) -> None:
    with on_the_day():
        sent(signed_in(keeper), note, device_at="2025-10-04T07:10:00Z", sent_at="2025-10-04T08:30:00Z")
    photo = Photo.objects.get()
    assert photo.moment.text() == "2025-10-04T09:10:00+02:00" or photo.moment.text() == "2025-10-04T09:10+02:00"
    assert photo.entered_at.isoformat() == "2025-10-04T08:30:00+00:00"


@pytest.mark.parametrize("data", [b"no photo at all", b"", b"<svg xmlns='http://www.w3.org/2000/svg'/>"])
def test_what_is_no_photo_is_refused_with_a_sentence_and_the_entry_stands(
    note: uuid.UUID, keeper: Any, data: bytes
) -> None:
    answer = sent(signed_in(keeper), note, photo=file(data))
    assert answer.status_code == 422
    assert b'<div class="problem"' in answer.content
    assert HealthNote.objects.filter(entry=note).exists()
    assert not Photo.all_rows.exists()


def test_a_photo_of_an_entry_that_is_not_there_waits_with_a_reason(keeper: Any, pond: Enclosure) -> None:
    answer = sent(signed_in(keeper), uuid.uuid4())
    assert answer.status_code == 422
    assert "not on the server" in answer.content.decode()


def test_who_may_add_a_photo(
    note: uuid.UUID, other_keeper: Any, supervisor: Any, reader: Any, coordinator: Any, stranger: Any
) -> None:
    for user, status in ((other_keeper, 403), (supervisor, 201), (reader, 403), (coordinator, 403), (stranger, 403)):
        assert sent(signed_in(user), note).status_code == status, user
    assert sent(Client(), note).status_code == 302


def test_a_photo_needs_the_csrf_token(note: uuid.UUID, keeper: Any) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(keeper)
    assert sent(client, note).status_code == 403
    assert not Photo.all_rows.exists()


def stop(client: Client, entry: uuid.UUID, **more: Any) -> Any:
    data = {"slot": "am", "what": "look", "entry": str(entry), **more}
    return client.post("/round/P1/?changed", data, headers=HTMX)


def test_on_the_round_a_photo_alone_says_that_something_is_odd(pond: Enclosure, keeper: Any) -> None:
    client, entry = signed_in(keeper), uuid.uuid4()
    assert stop(client, entry, photos="1").status_code == 201
    assert stop(client, entry, photos="1").status_code == 200
    check = RoundCheck.objects.get()
    assert check.odd == "see the photo"
    answer = sent(client, entry, table="roundcheck")  # the device knows the stop's id, not the look's
    assert answer.status_code == 201
    assert Photo.objects.get().of_entry == check.entry


def test_a_stop_that_was_skipped_has_no_photo(pond: Enclosure, keeper: Any) -> None:
    answer = stop(signed_in(keeper), uuid.uuid4(), photos="1", skip="no time")
    assert answer.status_code == 422
    assert answer.context["form"].errors["skip"] == ["Skipped, or looked at? Clear the reason, or what was seen."]


def test_a_form_sent_without_script_brings_its_photos_along(
    pond: Enclosure, pond_filter: Any, keeper: Any, facility: Any
) -> None:
    client = signed_in(keeper)
    client.post(
        "/enclosures/P1/health-notes/", {"text": "Foam", "when": "now", "entry": str(uuid.uuid4()), "photo": file()}
    )
    client.post(
        "/filters/P1-F/soundings/", {"depth_1": "40", "when": "now", "entry": str(uuid.uuid4()), "photo": file()}
    )
    client.post("/round/P1/?changed", {"slot": "am", "what": "look", "entry": str(uuid.uuid4()), "photo": file()})
    owners = {photo.table: photo.of_entry for photo in Photo.objects.all()}
    assert owners == {
        "healthnote": HealthNote.objects.get().entry,
        "sounding": Sounding.objects.get().entry,
        "roundcheck": RoundCheck.objects.get().entry,
    }


def test_without_script_a_file_that_is_no_photo_is_said_and_the_entry_is_saved(pond: Enclosure, keeper: Any) -> None:
    data = {"text": "Foam", "when": "now", "entry": str(uuid.uuid4()), "photo": file(b"text")}
    answer = signed_in(keeper).post("/enclosures/P1/health-notes/", data, follow=True)
    assert "saved without the photo" in answer.content.decode()
    assert HealthNote.objects.count() == 1
