"""The last computed answer per filter, so that a list of filters is one query. The records stay the truth."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Self

from django.db import models

from enclosures.models.facilities import Facility
from enclosures.models.filters import Filter, FilterKind


class FilterOutlookQuerySet(models.QuerySet):
    def with_place(self) -> Self:
        return self.select_related("filter", "filter__enclosure")

    def most_urgent_first(self) -> Self:
        return self.order_by("band_order", "-score", "filter__code")

    def in_use_on(self, day: date) -> Self:
        return self.filter(models.Q(filter__retired_on__isnull=True) | models.Q(filter__retired_on__gt=day)).filter(
            filter__kind=FilterKind.UPFLOW
        )

    def needing_refresh(self, day: date) -> Self:
        return self.filter(models.Q(is_stale=True) | models.Q(as_of__lt=day))


class FilterOutlook(models.Model):
    """`answer` is the forecast in the JSON form of `forecast_voids`; `detail` what a list also shows (small);
    `trace` the fill over time for the chart (larger: lists defer it)."""

    filter = models.OneToOneField(Filter, on_delete=models.CASCADE, related_name="outlook")
    as_of = models.DateField()
    computed_at = models.DateTimeField()
    is_stale = models.BooleanField(default=False)
    band = models.CharField(max_length=10)
    band_order = models.PositiveSmallIntegerField(default=9)
    score = models.FloatField(default=0)
    fill_p10 = models.FloatField(null=True, blank=True)
    fill_p50 = models.FloatField(null=True, blank=True)
    fill_p90 = models.FloatField(null=True, blank=True)
    sureness = models.CharField(max_length=6, default="none")
    coping = models.CharField(max_length=12, blank=True)
    sentence = models.TextField(blank=True)
    pinned = models.TextField(blank=True)
    answer = models.JSONField(default=dict)
    detail = models.JSONField(default=dict)
    trace = models.JSONField(default=dict)
    model_version = models.CharField(max_length=20, blank=True)

    objects = FilterOutlookQuerySet.as_manager()

    class Meta:
        indexes = (models.Index(fields=["band_order", "-score"], name="outlook_urgency"),)

    def __str__(self) -> str:
        return f"{self.filter_id}: {self.band} on {self.as_of}"


class ForecastTrial(models.Model):
    """What was said of one filter on one day, from what was known then, and what came. Derived: it can be made again from the records, so
    no package carries it.

    `ahead`: days from made_on by which it was said to be due once, twice ... nine times in ten (null: beyond the horizon); `rules`: the days
    that rules of thumb would have named; `resolved_on`: the day it came due, or was emptied or rebuilt without that being known;
    `below_on`: the last day after made_on on which the rod stood below the due line.
    """

    class Kind(models.TextChoices):
        OPEN = "open", "still filling"
        CAME = "came", "came due"
        CLEANED = "cleaned", "cleaned before it was due"
        UNREAD = "unread", "emptied or rebuilt with no reading at the time"

    filter = models.ForeignKey(Filter, on_delete=models.CASCADE, related_name="trials")
    made_on = models.DateField()
    model_version = models.CharField(max_length=20)
    ahead = models.JSONField(default=list)
    rules = models.JSONField(default=dict)
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.OPEN)
    resolved_on = models.DateField(null=True, blank=True)
    below_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering: ClassVar[tuple[str, ...]] = ("filter", "made_on")
        constraints = (models.UniqueConstraint(fields=["filter", "made_on"], name="one_trial_a_day"),)

    def __str__(self) -> str:
        return f"{self.filter_id}: said on {self.made_on}, {self.kind}"


class SavedPackage(models.Model):
    """Who took which records out, and when."""

    facility = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="packages")
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=40)
    program = models.CharField(max_length=40, blank=True)
    from_on = models.DateField(null=True, blank=True)
    to_on = models.DateField(null=True, blank=True)
    level = models.CharField(max_length=8, default="full")
    row_counts = models.JSONField(default=dict)
    sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering: ClassVar[tuple[str, ...]] = ("-made_at",)

    def __str__(self) -> str:
        return f"package of {self.made_at:%Y-%m-%d}"
