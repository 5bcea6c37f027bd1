"""Stored outlooks: computed when they are stale or of an earlier day, so that a list of filters reads one row each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta

from django.db.models import Q

from enclosures.actions.judging import Judged, judge_filters
from enclosures.actions.outlook_form import detail_json, lesson_from, outlook_json, trace_json
from enclosures.actions.stale import mark_stale
from enclosures.forecast.outlook import MODEL_VERSION
from enclosures.forecast.pooling import Message
from enclosures.models import Facility, Filter, FilterOutlook
from enclosures.verdicts.words import Band

__all__ = ["filters_needing_refresh", "mark_stale", "refresh_facility", "refresh_outlook"]

NOT_YET = {"band": Band.UNKNOWN.plain, "band_order": Band.UNKNOWN.order}
Progress = Callable[[int, int, Filter], None]


def refresh_outlook(filter: Filter, *, today: date, now: datetime) -> FilterOutlook:
    """Compute and store one filter's outlook as of today, with what the others had taught when they were last computed."""
    return _refreshed([filter], like=filter, today=today, now=now)[0]


def refresh_facility(
    *, facility: Facility, today: date, now: datetime, only_needed: bool = True, progress: Progress | None = None
) -> int:
    """Compute and store the outlooks of a facility's upflow filters in use; how many. Only the stale and the aged, unless told all."""
    filters = filters_needing_refresh(facility=facility, today=today) if only_needed else _in_use(facility, today)
    if not filters:
        return 0
    return len(_refreshed(filters, like=filters[0], today=today, now=now, progress=progress))


def filters_needing_refresh(*, facility: Facility, today: date) -> list[Filter]:
    """Upflow filters in use without an outlook of today that is up to date."""
    fresh = Q(outlook__is_stale=False, outlook__as_of__gte=today)
    return list(_of(facility, today).exclude(fresh))


def _in_use(facility: Facility, today: date) -> list[Filter]:
    return list(_of(facility, today))


def _of(facility: Facility, today: date):
    filters = Filter.objects.upflow().in_use_on(today).filter(enclosure__facility=facility)
    return filters.with_place().order_by("code")


def _refreshed(
    filters: list[Filter], *, like: Filter, today: date, now: datetime, progress: Progress | None = None
) -> list[FilterOutlook]:
    facility = like.enclosure.facility
    told = None if progress is None else (lambda n, row: progress(n, len(filters), row))
    with _claimed(filters, today=today, now=now):
        answers = judge_filters(
            filters,
            as_of=today,
            zone=facility.zone,
            lessons=_lessons_of_others(filters, facility=facility, today=today),
            progress=told,
        )
        return [_stored(answer, now=now) for answer in answers]


def _lessons_of_others(filters: list[Filter], *, facility: Facility, today: date) -> dict[str, Message]:
    """What the facility's other filters taught when they were last computed."""
    others = _of(facility, today).exclude(pk__in=[row.pk for row in filters])
    rows = FilterOutlook.objects.filter(filter__in=others, model_version=MODEL_VERSION, trace__has_key="lesson")
    return {code: lesson_from(lesson) for code, lesson in rows.values_list("filter__code", "trace__lesson")}


@contextmanager
def _claimed(filters: list[Filter], *, today: date, now: datetime) -> Iterator[None]:
    """Staleness is taken off before the records are read: what is entered meanwhile makes the outlook stale again.

    Until its new answer is stored a row counts as aged, so that a refresh cut short is done again.
    """
    earlier = today - timedelta(days=1)
    FilterOutlook.objects.bulk_create(
        [FilterOutlook(filter=row, as_of=earlier, computed_at=now, **NOT_YET) for row in filters],
        ignore_conflicts=True,
    )
    rows = FilterOutlook.objects.filter(filter__in=filters)
    rows.filter(as_of__gte=today).update(as_of=earlier)
    rows.update(is_stale=False)
    try:
        yield
    except BaseException:
        rows.filter(as_of__lt=today).update(is_stale=True)
        raise


def _stored(answer: Judged, *, now: datetime) -> FilterOutlook:
    outlook, verdict = answer.outlook, answer.verdict
    fill = outlook.fill
    row, _ = FilterOutlook.objects.update_or_create(
        filter=answer.filter,
        defaults={
            "as_of": outlook.as_of,
            "computed_at": now,
            "band": verdict.band.plain,
            "band_order": verdict.band.order,
            "score": verdict.score,
            "fill_p10": fill.p10 if fill else None,
            "fill_p50": fill.p50 if fill else None,
            "fill_p90": fill.p90 if fill else None,
            "sureness": outlook.sureness,
            "coping": answer.coping.verdict.label,
            "sentence": verdict.sentence,
            "pinned": verdict.pinned or "",
            "answer": outlook_json(outlook, verdict),
            "detail": detail_json(answer),
            "trace": trace_json(answer),
            "model_version": outlook.model_version,
        },
    )
    answer.filter.outlook = row  # type: ignore[attr-defined]
    return row
