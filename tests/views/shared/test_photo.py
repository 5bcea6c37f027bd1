"""Reading a photo: by those who may read its entry, asked each time, as nothing but a picture."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from enclosures.actions.corrections import withdraw
from enclosures.actions.events import log_health_note
from enclosures.actions.photos import attach_photo
from enclosures.models import Moment, Photo, photo_path, thumbnail_path
from tests.actions.station import make_enclosure, stamp
from tests.conftest import NOW
from tests.pictures import jpeg, opened
from tests.views.pages import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def note(facility: Any) -> Any:
    moment = Moment.of_instant(NOW, zone=facility.zone)
    return log_health_note(moment=moment, text="Foam", enclosure=make_enclosure(facility), stamp=stamp()).record


@pytest.fixture
def photo(note: Any) -> Photo:
    return attach_photo(note, data=jpeg(), moment=note.moment, stamp=stamp()).record


def body(answer: Any) -> bytes:
    return b"".join(answer.streaming_content)


def status(user: Any, path: str) -> int:
    answer = signed_in(user).get(path)
    if answer.streaming:
        body(answer)  # which closes the file
    return int(answer.status_code)


def test_a_photo_is_streamed_as_a_picture_and_nothing_else(photo: Photo, reader: Any) -> None:
    answer = signed_in(reader).get(f"/photos/{photo.entry}/whole/")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Disposition"] == f'inline; filename="P1-2025-10-04-{photo.digest[:8]}.jpg"'
    assert answer.headers["Cache-Control"] == "private, no-cache"
    assert answer.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert body(answer) == photo_path(photo.digest).read_bytes()
    small = signed_in(reader).get(f"/photos/{photo.entry}/small/")
    assert opened(body(small)).size == (320, 240)


def test_an_unchanged_photo_is_not_sent_again(photo: Photo, reader: Any) -> None:
    client = signed_in(reader)
    first = client.get(f"/photos/{photo.entry}/whole/")
    body(first)
    again = client.get(f"/photos/{photo.entry}/whole/", headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304
    assert again.headers["Cache-Control"] == "private, no-cache"


def test_a_stranger_an_outsider_and_nobody_cannot_read(photo: Photo, stranger: Any, coordinator: Any) -> None:
    for path in (f"/photos/{photo.entry}/", f"/photos/{photo.entry}/whole/", f"/photos/{photo.entry}/small/"):
        assert status(stranger, path) == 403
        assert status(coordinator, path) == 403
        assert Client().get(path).status_code == 302
    for path in (f"/media/photos/{photo.digest[:2]}/{photo.digest}.jpg", f"/static/photos/{photo.digest}.jpg"):
        assert status(stranger, path) == 404, "files have no address of their own"


def test_a_photo_of_a_restricted_note_is_there_for_those_who_read_the_note(
    facility: Any, keeper: Any, veterinarian: Any, supervisor: Any
) -> None:
    note = log_health_note(
        moment=Moment.of_instant(NOW, zone=facility.zone), text="Foam", enclosure=make_enclosure(facility), stamp=stamp(),
        restricted=True,
    ).record  # fmt: skip
    photo = attach_photo(note, data=jpeg(), moment=note.moment, stamp=stamp()).record
    path = f"/photos/{photo.entry}/whole/"
    assert [status(user, path) for user in (keeper, veterinarian, supervisor)] == [404, 200, 200]


def test_what_was_taken_back_is_hidden_from_all_but_those_who_correct(
    photo: Photo, note: Any, keeper: Any, supervisor: Any
) -> None:
    withdraw(note, stamp=stamp(), reason="another pond")
    path = f"/photos/{photo.entry}/small/"
    assert (status(keeper, path), status(supervisor, path)) == (404, 200)


def test_a_missing_small_one_is_made_anew_and_a_missing_file_is_said(photo: Photo, keeper: Any) -> None:
    thumbnail_path(photo.digest).unlink()
    assert status(keeper, f"/photos/{photo.entry}/small/") == 200
    photo_path(photo.digest).unlink()
    assert status(keeper, f"/photos/{photo.entry}/whole/") == 404
    assert status(keeper, f"/photos/{uuid.uuid4()}/") == 404


@pytest.mark.parametrize("name", ["../../etc/passwd", "a" * 63, "A" * 64, "", "a" * 64 + "\n", "../" + "a" * 61])
def test_nothing_but_a_digest_names_a_file(name: str) -> None:
    with pytest.raises(ValueError, match="SHA-256"):
        photo_path(name)


def test_the_dashboard_and_my_entries_show_a_small_picture_that_leads_to_the_whole(
    photo: Photo, note: Any, keeper: Any
) -> None:
    client = signed_in(keeper)
    page = client.get("/enclosures/P1/").content.decode()
    assert f'<a href="/photos/{photo.entry}/"><img src="/photos/{photo.entry}/small/" alt="Photo of P1 by K1"' in page
    mine = log_health_note(
        moment=Moment.of_instant(timezone.now(), zone=note.enclosure.facility.zone), text="Algae", enclosure=note.enclosure,
        stamp=stamp(timezone.now()),
    ).record  # fmt: skip
    attach_photo(mine, data=jpeg(), moment=mine.moment, stamp=stamp(timezone.now()), caption="Green water")
    assert 'alt="Green water"' in client.get("/entries/").content.decode()
    withdraw(note, stamp=stamp(), reason="another pond")
    assert str(photo.entry) not in client.get("/enclosures/P1/").content.decode()


def test_a_photo_can_be_taken_back_alone_by_its_taker_with_a_reason(
    photo: Photo, keeper: Any, other_keeper: Any, supervisor: Any
) -> None:
    page = f"/photos/{photo.entry}/"
    back = f"/entries/photo/{photo.entry}/withdraw/"
    assert back not in signed_in(other_keeper).get(page).content.decode()
    assert signed_in(other_keeper).post(back, {"reason": "no"}).status_code == 403
    client = signed_in(keeper)
    assert back in client.get(page).content.decode()
    assert client.get(back).status_code == 200
    assert client.post(back, {"reason": "a person is on it", "entry": str(uuid.uuid4())}).status_code == 302
    assert not Photo.objects.exists()
    assert client.get(page).status_code == 404
    assert "was taken back" in signed_in(supervisor).get(page).content.decode()
    assert client.get(f"/entries/photo/{photo.entry}/correct/").status_code == 302, (
        "there is nothing to put right in it"
    )


def test_a_photo_whose_file_is_not_here_is_described(photo: Photo, keeper: Any) -> None:
    photo_path(photo.digest).unlink()
    page = signed_in(keeper).get(f"/photos/{photo.entry}/").content.decode()
    assert "its file is not on this server" in page
    assert "<img" not in page.partition("<main")[2]
