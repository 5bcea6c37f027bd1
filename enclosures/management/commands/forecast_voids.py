"""manage.py forecast_voids [--filter CODE] [--as-of DATE] [--format table|json]: how full, when due, how sure; from the records, afresh."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import date, timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from enclosures.actions.judging import Judged, judge_filters, most_urgent_first
from enclosures.actions.outlook_form import outlook_json
from enclosures.models import Facility, Filter
from enclosures.verdicts.words import due_sentence, fill_words

LATEST_AHEAD = timedelta(days=1095)


class Command(BaseCommand):
    help = (
        "Forecast the voids of upflow filters, most urgent first. --as-of uses only what was known by the end of that day "
        "in the facility's time: nothing dated later, nothing entered later."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--filter", metavar="CODE", help="one filter only")
        parser.add_argument("--as-of", metavar="DATE", help="a day, like 2025-10-04; default: today at the facility")
        parser.add_argument("--format", choices=["table", "json"], default="table")

    def handle(self, *args: Any, **options: Any) -> None:
        facility = Facility.objects.first()
        if facility is None:
            raise CommandError(
                "There is no facility in this database yet: sign in as an administrator to begin one, or import records."
            )
        today = timezone.now().astimezone(facility.zone).date()
        as_of = today if options["as_of"] is None else _day(options["as_of"], today=today)
        filters = _chosen(facility, options["filter"], as_of=as_of)
        everyone = Filter.objects.filter(enclosure__facility=facility).upflow().in_use_on(as_of).with_place()
        # All are computed, since each learns from the others, so that one alone reads as it does in the list.
        judged = judge_filters(everyone.order_by("code"), as_of=as_of, zone=facility.zone)
        answers = most_urgent_first(answer for answer in judged if answer.filter in filters)
        if options["format"] == "json":
            said = [outlook_json(answer.outlook, answer.verdict) for answer in answers]
            self.stdout.write(json.dumps(said, ensure_ascii=False, indent=1))
        else:
            self.stdout.write(_table(answers, as_of=as_of))


def _day(text: str, *, today: date) -> date:
    try:
        day = date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        day = None
    if day is None:
        raise CommandError(f"“{text}” is not a day; write it like 2025-10-04.")
    if day > today + LATEST_AHEAD:
        raise CommandError(f"{day} is more than three years ahead; nothing can be said of it.")
    return day


def _chosen(facility: Facility, code: str | None, *, as_of: date) -> list[Filter]:
    filters = Filter.objects.filter(enclosure__facility=facility).with_place().order_by("code")
    if code is None:
        return list(filters.upflow().in_use_on(as_of))
    found = filters.filter(code=code).first()
    if found is None:
        known = ", ".join(filters.upflow().values_list("code", flat=True)) or "none yet"
        raise CommandError(f"There is no filter “{code}”; the upflow filters are: {known}.")
    if found.kind != "upflow":
        raise CommandError(
            f"{code} is a {found.get_kind_display()} filter; only upflow filters have a void to forecast."
        )
    if found.retired_on is not None and found.retired_on <= as_of:
        raise CommandError(f"{code} has been out of use since {found.retired_on}.")
    return [found]


def _table(answers: list[Judged], *, as_of: date) -> str:
    if not answers:
        return "No upflow filters are on record."
    rows = [("filter", "band", "fill", "sure", "due", "why")]
    for answer in answers:
        outlook = answer.outlook
        rows.append(
            (
                outlook.filter,
                answer.verdict.band.plain,
                str(fill_words(outlook.fill)),
                outlook.sureness,
                due_sentence(outlook, as_of),
                answer.verdict.pinned or answer.verdict.sentence,
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(5)]
    lines = [
        "  ".join([*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[5]]) for row in rows
    ]
    return "\n".join([f"As of {as_of}:", *lines])
