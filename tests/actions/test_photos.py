"""A photo and its entry: one row for one picture, carried over by corrections, hidden with what was taken back, never erased."""

from __future__ import annotations

import hashlib
import uuid
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from enclosures.actions.corrections import supersede, undo, withdraw
from enclosures.actions.entries import EntryConflict, Refused
from enclosures.actions.events import log_health_note
from enclosures.actions.photos import MOST_OF_AN_ENTRY, attach_photo, is_hidden
from enclosures.actions.water import log_water_change
from enclosures.models import HealthNote, Moment, Photo, photo_path
from tests.actions.station import make_enclosure, stamp
from tests.conftest import NOW
from tests.pictures import half_and_half, jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def note(facility: Any) -> HealthNote:
    place = make_enclosure(facility)
    moment = Moment.of_instant(NOW, zone=facility.zone)
    return log_health_note(moment=moment, text="Foam", enclosure=place, stamp=stamp()).record


def attached(note: Any, data: bytes | None = None, **more: Any) -> Any:
    return attach_photo(note, data=data or jpeg(), moment=note.moment, stamp=stamp(), **more)


def test_a_photo_is_one_row_and_one_file_named_by_its_content(note: HealthNote) -> None:
    entry = uuid.uuid4()
    logged = attached(note, entry=entry, caption=" Foam at the weir ")
    photo = logged.record
    assert (photo.entry, photo.table, photo.of_entry) == (entry, "healthnote", note.entry)
    assert (photo.width_px, photo.height_px, photo.caption) == (640, 480, "Foam at the weir")
    assert hashlib.sha256(photo_path(photo.digest).read_bytes()).hexdigest() == photo.digest
    assert logged.is_new


def test_the_same_photo_twice_is_one_row(note: HealthNote) -> None:
    first = attached(note, entry=uuid.uuid4())
    retried = attached(note, entry=first.record.entry)
    again = attached(note, entry=uuid.uuid4())
    assert [retried.record.pk, again.record.pk] == [first.record.pk] * 2
    assert not retried.is_new
    assert not again.is_new
    assert Photo.all_rows.count() == 1


def test_the_same_id_with_another_picture_is_a_conflict(note: HealthNote) -> None:
    first = attached(note, entry=uuid.uuid4())
    with pytest.raises(EntryConflict):
        attached(note, jpeg(half_and_half(300, 300)), entry=first.record.entry)


def test_a_correction_carries_the_photos_over_and_they_stay_their_takers(note: HealthNote) -> None:
    photo = attached(note).record
    new = supersede(note, changes={"text": "Foam, brown"}, stamp=stamp(by="SUP"), reason="seen again").record
    (carried,) = Photo.objects.all()
    assert (carried.of_entry, carried.digest, carried.supersedes) == (new.entry, photo.digest, photo)
    assert (carried.entered_by, carried.sent_by) == ("K1", "SUP")
    assert not is_hidden(photo, note)
    assert not is_hidden(carried, new)
    # and once more, when the correction is undone
    before = undo(new, stamp=stamp(by="SUP")).record
    assert [each.of_entry for each in Photo.objects.all()] == [before.entry]


def test_a_photo_that_comes_after_the_correction_belongs_to_the_newest_version_and_its_retry_is_the_same(
    note: HealthNote,
) -> None:
    entry = uuid.uuid4()
    new = supersede(note, changes={"text": "Foam, brown"}, stamp=stamp(), reason="seen again").record
    assert attached(note, entry=entry).record.of_entry == new.entry
    newest = supersede(new, changes={"text": "Foam, green"}, stamp=stamp(), reason="seen again").record
    assert not attached(note, entry=entry).is_new, "sent again after one more correction"
    assert [each.of_entry for each in Photo.objects.all()] == [newest.entry]


def test_withdrawing_the_entry_hides_the_photo_and_keeps_it(note: HealthNote) -> None:
    photo = attached(note).record
    withdraw(note, stamp=stamp(), reason="another pond")
    assert is_hidden(photo, note)
    assert Photo.objects.get() == photo
    assert photo_path(photo.digest).is_file()
    late = attached(note, jpeg(half_and_half(300, 300))).record  # it was on its way
    assert late.of_entry == note.entry
    assert is_hidden(late, note)


def test_one_photo_can_be_withdrawn_alone(note: HealthNote) -> None:
    photo, other = attached(note).record, attached(note, jpeg(half_and_half(300, 300))).record
    withdraw(photo, stamp=stamp(), reason="a person is on it")
    photo = Photo.all_rows.get(pk=photo.pk)
    assert is_hidden(photo, note)
    assert list(Photo.objects.all()) == [other]


def test_nothing_changes_or_erases_a_photo(note: HealthNote) -> None:
    photo = attached(note).record
    for act in (lambda: Photo.all_rows.filter(pk=photo.pk).update(caption="x"), lambda: photo.delete()):
        with pytest.raises(DatabaseError), transaction.atomic():
            act()


def test_entries_of_other_kinds_take_none_and_no_entry_takes_them_without_end(note: HealthNote, facility: Any) -> None:
    change = log_water_change(
        enclosure=note.enclosure, moment=note.moment, volume_l=100, stamp=stamp(), entry=None
    ).record
    with pytest.raises(Refused, match="Photos belong to"):
        attached(change)
    for n in range(MOST_OF_AN_ENTRY):
        attached(note, jpeg(half_and_half(40 + n, 40)))
    with pytest.raises(Refused, match="12 photos already"):
        attached(note)


def test_a_server_without_room_says_so_and_keeps_no_row(note: HealthNote, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*args: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("enclosures.actions.photos.store_file", full)
    with pytest.raises(Refused, match="No space left"):
        attached(note, jpeg(half_and_half(77, 77)))
    assert Photo.all_rows.count() == 0
