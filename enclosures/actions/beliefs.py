"""The belief behind a stored answer, so that what is tried out starts from the very forecast that the pages show."""

from __future__ import annotations

import hashlib
import json
from datetime import date, datetime

from django.core.cache import cache

from enclosures.actions.explained_form import heard_from
from enclosures.actions.judging import Belief, believe
from enclosures.actions.outlooks import refresh_outlook
from enclosures.forecast.outlook import MODEL_VERSION
from enclosures.models import Filter, FilterKind, FilterOutlook

KEPT_SECONDS = 900  # who tries one change tries another; a belief is about a megabyte


def believed_as_stored(filter: Filter, *, today: date, now: datetime) -> Belief | None:
    """The same particles as the stored answer's, from the same records and what it had heard of the other filters.

    An answer that is not of today, or older than a record, is computed again first, as a dashboard does. None without geometry in force.
    For a quarter of an hour it is kept in the process's memory, so that the next change is answered at once.
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
    key = f"belief:{filter.pk}:{_stamp(row)}"
    kept: Belief | None = cache.get(key)
    if kept is None:
        zone, heard = filter.enclosure.facility.zone, heard_from(row.trace["heard"])
        kept = believe(filter, as_of=today, zone=zone, heard=heard)
        cache.set(key, kept, KEPT_SECONDS)
    return kept


def _stamp(row: FilterOutlook) -> str:
    """Another for every other answer: a belief is kept for as long as its own answer stands."""
    told = json.dumps([row.as_of.isoformat(), row.answer, row.trace], sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()
