"""A record that bears on a filter makes its stored outlook stale: one UPDATE, in the same transaction."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q

from enclosures.models import Enclosure, Filter, FilterOutlook


def mark_stale(*, enclosures: Iterable[Enclosure | int] = (), filters: Iterable[Filter | int] = ()) -> None:
    """The outlooks of these filters, and of every filter on these enclosures, are recomputed before they are next shown."""
    places, chosen = list(enclosures), list(filters)
    touched = Q()
    if places:
        touched |= Q(filter__enclosure__in=places)
    if chosen:
        touched |= Q(filter__in=chosen)
    if touched:
        FilterOutlook.objects.filter(touched).update(is_stale=True)
