"""The belief behind a stored answer, so that what is tried out starts from the very forecast that the pages show."""

from __future__ import annotations

from datetime import date, datetime

from enclosures.actions.explained_form import heard_from
from enclosures.actions.judging import Belief, believe
from enclosures.actions.outlooks import refresh_outlook
from enclosures.forecast.outlook import MODEL_VERSION
from enclosures.models import Filter, FilterKind, FilterOutlook


def believed_as_stored(filter: Filter, *, today: date, now: datetime) -> Belief | None:
    """The same particles as the stored answer's, from the same records and what it had heard of the other filters.

    An answer that is not of today, or older than a record, is computed again first, as a dashboard does. None without geometry in force.
    """
    if filter.kind != FilterKind.UPFLOW:
        return None
    row = FilterOutlook.objects.filter(filter=filter).first()
    if (
        row is None
        or row.is_stale
        or row.as_of != today
        or row.model_version != MODEL_VERSION
        or "heard" not in row.trace
    ):
        row = refresh_outlook(filter, today=today, now=now)
    filter.outlook = row  # type: ignore[attr-defined]
    if "heard" not in row.trace:
        return None
    return believe(filter, as_of=today, zone=filter.enclosure.facility.zone, heard=heard_from(row.trace["heard"]))
