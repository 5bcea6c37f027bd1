"""What every logged thing shares. Rows are written once: a correction is a new row that supersedes the old one, a withdrawal is a row too.

Current as of day D = entered by the end of D, not a withdrawal, and with no successor entered by the end of D.
"""

from __future__ import annotations

import uuid
from datetime import date, datetime
from typing import Any, ClassVar, Self

from django.db import models
from django.db.models import CheckConstraint, Q

from enclosures.models.moment import Moment


class Precision(models.TextChoices):
    MINUTE = "minute", "to the minute"
    DAY = "day", "to the day"


class How(models.TextChoices):
    FORM = "form", "on a form"
    ROUND = "round", "on the round"
    LATE = "late", "later, from memory"
    PAPER = "paper", "from a paper sheet"
    IMPORT = "import", "from a file"
    DEMO = "demo", "made for the demo"


class RecordQuerySet(models.QuerySet):
    def live(self) -> Self:
        """What is current now: neither superseded nor withdrawn."""
        return self.filter(withdrawn=False, superseded_by__isnull=True)

    def known_at(self, end: datetime) -> Self:
        """What was current at `end` (exclusive): later entries and later corrections do not exist yet.

        A row has one successor at most, so a join asks the same as a subquery, in half the time.
        """
        had_no_successor = Q(superseded_by__isnull=True) | Q(superseded_by__entered_at__gte=end)
        return self.filter(had_no_successor, entered_at__lt=end, withdrawn=False)

    def until(self, day: date) -> Self:
        return self.filter(occurred_on__lte=day)

    def between(self, first: date, last: date) -> Self:
        return self.filter(occurred_on__gte=first, occurred_on__lte=last)

    def newest_first(self) -> Self:
        return self.order_by("-occurred_at", "-pk")

    def oldest_first(self) -> Self:
        return self.order_by("occurred_at", "pk")


class LiveManager(models.Manager.from_queryset(RecordQuerySet)):  # type: ignore[misc]
    def get_queryset(self) -> RecordQuerySet:
        return super().get_queryset().live()


AllManager = models.Manager.from_queryset(RecordQuerySet)


class LoggedRecord(models.Model):
    """Base of all log tables.

    entry         made on the device, so that a retry cannot double it; unique in its table
    occurred_at   UTC; occurred_on the facility's day; utc_offset_min the offset it was written with; precision minute or day
    entered_at    by the server's clock (an imported row without one counts as entered when it happened)
    entered_by    initials of the author: they outlive the account; sent_by when another person's tablet sent it
    flags         codes of verdicts/data_flags.py set at entry; flags found later live in RecordFlag

    `objects` is what is current now; `all_rows` is everything ever entered.
    """

    entry = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    occurred_at = models.DateTimeField("when")
    occurred_on = models.DateField("day", db_index=True)
    utc_offset_min = models.SmallIntegerField(default=0)
    precision = models.CharField(max_length=8, choices=Precision, default=Precision.MINUTE)
    entered_at = models.DateTimeField()
    entered_by = models.CharField(max_length=40, blank=True)
    sent_by = models.CharField(max_length=40, blank=True)
    device_at = models.DateTimeField(null=True, blank=True)
    clock_offset_s = models.IntegerField(null=True, blank=True)
    how = models.CharField(max_length=8, choices=How, default=How.FORM)
    note = models.TextField(blank=True)
    flags = models.JSONField(default=list, blank=True)
    supersedes = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="superseded_by"
    )
    withdrawn = models.BooleanField(default=False)
    reason = models.TextField(blank=True, help_text="Why it was put right or withdrawn.")

    objects = LiveManager()
    all_rows = AllManager()

    # The fields that are the entry's content: what a retry must repeat and a correction may change.
    CONTENT: ClassVar[tuple[str, ...]] = ()
    # Child rows written with it: related name -> their content fields, in order of `position`.
    PARTS: ClassVar[dict[str, tuple[str, ...]]] = {}

    class Meta:
        abstract = True
        base_manager_name = "all_rows"
        default_manager_name = "objects"
        get_latest_by = "occurred_at"
        constraints: ClassVar[list[models.BaseConstraint]] = [
            CheckConstraint(
                condition=Q(withdrawn=False) | Q(supersedes__isnull=False),
                name="%(class)s_withdraws_something",
                violation_error_message="A withdrawal names the entry it withdraws.",
            ),
            CheckConstraint(
                condition=Q(supersedes__isnull=True) | ~Q(reason=""),
                name="%(class)s_says_why",
                violation_error_message="A correction or withdrawal says why.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self._meta.verbose_name} {self.occurred_on}"

    @property
    def moment(self) -> Moment:
        return Moment.stored(
            at=self.occurred_at, on=self.occurred_on, offset_min=self.utc_offset_min, precision=self.precision
        )

    @moment.setter
    def moment(self, moment: Moment) -> None:
        self.occurred_at, self.occurred_on = moment.at, moment.on
        self.utc_offset_min, self.precision = moment.offset_min, moment.precision

    def content(self) -> dict[str, Any]:
        """What was said, without when and by whom it was entered: equal contents are the same entry."""
        said: dict[str, Any] = {"occurred_at": self.moment.text(), "note": self.note}
        for name in self.CONTENT:
            field = self._meta.get_field(name)
            said[name] = getattr(self, field.attname)
        for related, names in self.PARTS.items():
            rows = getattr(self, related).order_by("position") if self.pk else []
            said[related] = [{name: getattr(row, row._meta.get_field(name).attname) for name in names} for row in rows]
        return said


class RecordPart(models.Model):
    """A child row of an entry (a line, a reading), written with it and never changed."""

    position = models.PositiveSmallIntegerField(default=1)

    class Meta:
        abstract = True
        ordering = ("position",)


class RecordFlag(models.Model):
    """A doubt about an entry found after it was made; the entry itself is never touched."""

    table = models.CharField(max_length=40)
    entry = models.UUIDField(db_index=True)
    code = models.CharField(max_length=4)
    text = models.TextField(blank=True)
    found_at = models.DateTimeField()
    found_by = models.CharField(max_length=40, blank=True)
    resolved_at = models.DateTimeField(null=True, blank=True)
    resolved_by = models.CharField(max_length=40, blank=True)
    resolution = models.TextField(blank=True)

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["table", "entry", "code"], name="one_flag_of_a_kind_per_entry"),
        ]

    def __str__(self) -> str:
        return f"{self.code} on {self.table} {self.entry}"
