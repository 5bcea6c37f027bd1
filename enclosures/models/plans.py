"""What is meant to happen on the round, and what was seen on it besides food: plans, instructions, checks, skips."""

from __future__ import annotations

from datetime import date, timedelta
from typing import ClassVar, Self

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q

from enclosures.models.animals import Animal
from enclosures.models.constraints import in_order, one_of, within
from enclosures.models.feeding import FoodItem
from enclosures.models.places import Enclosure
from enclosures.models.record import LoggedRecord, RecordQuerySet

WEEKDAY_CODES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_ONE_DAY = f"(?:{'|'.join(WEEKDAY_CODES)})"
DAYS_WRITTEN = rf"^{_ONE_DAY}(?: {_ONE_DAY})*$"


class Slot(models.TextChoices):
    MORNING = "am", "morning"
    EVENING = "pm", "evening"


class FeedingPlanQuerySet(models.QuerySet):
    def in_force_on(self, day: date) -> Self:
        return self.filter(from_on__lte=day).filter(Q(to_on__isnull=True) | Q(to_on__gte=day))

    def newest_first(self) -> Self:
        """Of two plans for one meal the one that began later counts."""
        return self.order_by("-from_on", "-pk")


class FeedingPlan(models.Model):
    """One meal as planned: of an enclosure, or of one animal wherever it lives. Both days included; `to_on` empty: until further notice.

    every_weeks       1 every week, 2 every second one …, counted from the week (Monday to Sunday) of `from_on`
    every_days        every so many days from `from_on` on, whatever the weekday; empty: by weekdays
    not_below_c       no food under this water temperature
    less_below_c      from there up to this one only `less_share` of the amounts
    pauses_in_winter  no food while the enclosure is in winter rest
    """

    code = models.CharField(max_length=40, unique=True)
    enclosure = models.ForeignKey(
        Enclosure, null=True, blank=True, on_delete=models.PROTECT, related_name="feeding_plans"
    )
    animal = models.ForeignKey(Animal, null=True, blank=True, on_delete=models.PROTECT, related_name="feeding_plans")
    slot = models.CharField("meal", max_length=8, choices=Slot, default=Slot.MORNING)
    weekdays = models.CharField(
        max_length=27,
        blank=True,
        help_text="mon tue wed thu fri sat sun, parted by blanks; empty: every day.",
        validators=[RegexValidator(DAYS_WRITTEN, "Write days like mon wed fri.")],
    )
    every_weeks = models.PositiveSmallIntegerField("every so many weeks", default=1)
    every_days = models.PositiveSmallIntegerField("every so many days", null=True, blank=True)
    from_on = models.DateField("from")
    to_on = models.DateField("to", null=True, blank=True)
    not_below_c = models.FloatField("no food under, °C", null=True, blank=True)
    less_below_c = models.FloatField("less food under, °C", null=True, blank=True)
    less_share = models.FloatField("share given then", default=0.5)
    pauses_in_winter = models.BooleanField("no food in winter rest", default=True)
    entered_at = models.DateTimeField(null=True, blank=True)
    entered_by = models.CharField(max_length=40, blank=True)
    note = models.TextField(blank=True)

    objects = FeedingPlanQuerySet.as_manager()

    class Meta:
        ordering = ("code",)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=Q(enclosure__isnull=False, animal__isnull=True)
                | Q(enclosure__isnull=True, animal__isnull=False),
                name="feedingplan_of_one",
                violation_error_message="A plan is of an enclosure or of one animal.",
            ),
            in_order("from_on", "to_on"),
            within("not_below_c", -2, 45),
            within("less_below_c", -2, 45),
            models.CheckConstraint(
                condition=Q(not_below_c__isnull=True)
                | Q(less_below_c__isnull=True)
                | Q(less_below_c__gte=F("not_below_c")),
                name="feedingplan_less_before_none",
                violation_error_message="Less food begins at a higher temperature than no food.",
            ),
            within("less_share", 0, 1, above=True),
            within("every_weeks", 1, 8),
            within("every_days", 1, 60),
            models.CheckConstraint(
                condition=Q(every_days__isnull=True) | Q(weekdays="", every_weeks=1),
                name="feedingplan_one_rhythm",
                violation_error_message="A plan goes by weekdays or every so many days, not both.",
            ),
            one_of("slot", Slot.values),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def days(self) -> frozenset[int]:
        """Weekdays, Monday 0."""
        named = self.weekdays.split()
        return frozenset(n for n, name in enumerate(WEEKDAY_CODES) if not named or name in named)

    def is_for(self, day: date) -> bool:
        """Whether the meal falls on the day, by its rhythm alone: `to_on` and seasons are asked elsewhere."""
        if day < self.from_on:
            return False
        if self.every_days is not None:
            return (day - self.from_on).days % self.every_days == 0
        weeks = (_monday(day) - _monday(self.from_on)).days // 7
        return day.weekday() in self.days and weeks % self.every_weeks == 0

    def next_on(self, day: date) -> date | None:
        """The first day of the meal from `day` on; None when it ends before."""
        first = max(day, self.from_on)
        ahead = (first + timedelta(days=n) for n in range(max(self.every_days or 0, 7 * self.every_weeks)))
        found = next((on for on in ahead if self.is_for(on)), None)
        return found if found is not None and (self.to_on is None or found <= self.to_on) else None


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


class FeedingPlanLine(models.Model):
    """One food of a plan, in the keeper's unit (empty unit: grams as fed); `offered_g` is what that weighs."""

    plan = models.ForeignKey(FeedingPlan, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField(default=1)
    food_item = models.ForeignKey(FoodItem, on_delete=models.PROTECT, related_name="plan_lines")
    amount = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    offered_g = models.FloatField("g as fed")

    class Meta:
        ordering = ("plan", "position")
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["plan", "position"], name="one_plan_line_a_place"),
            within("offered_g", 0, 100_000, above=True),
            within("amount", 0, 100_000, above=True),
        ]

    def __str__(self) -> str:
        return f"{self.food_item_id} {self.offered_g:g} g"


class InstructionQuerySet(RecordQuerySet):
    def to_follow_on(self, day: date) -> Self:
        return self.filter(is_done=False, from_on__lte=day).filter(Q(to_on__isnull=True) | Q(to_on__gte=day))


class LiveInstructions(models.Manager.from_queryset(InstructionQuerySet)):  # type: ignore[misc]
    def get_queryset(self) -> InstructionQuerySet:
        return super().get_queryset().live()


class Instruction(LoggedRecord):
    """What the supervisor asks of whoever comes by: made at `occurred_at`, shown from `from_on` until done or past `to_on`."""

    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="instructions")
    text = models.CharField("what to do", max_length=300)
    from_on = models.DateField("from")
    to_on = models.DateField("to", null=True, blank=True)
    is_done = models.BooleanField("done", default=False)

    objects = LiveInstructions()
    all_rows = models.Manager.from_queryset(InstructionQuerySet)()

    CONTENT = ("enclosure", "text", "from_on", "to_on", "is_done")

    class Meta(LoggedRecord.Meta):
        indexes = (models.Index(fields=["enclosure", "from_on"], name="instruction_by_place"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            in_order("from_on", "to_on"),
        ]


class RoundCheck(LoggedRecord):
    """Looked at on the round: the head count beside what the books expect, and anything odd, in words.

    A temperature read on the round is a water test; a meal, also one held back, is a feeding.
    """

    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="round_checks")
    slot = models.CharField("round", max_length=8, blank=True, choices=Slot)
    head_count = models.PositiveSmallIntegerField("animals seen", null=True, blank=True)
    n_expected = models.PositiveSmallIntegerField("animals in the books", null=True, blank=True)
    odd = models.TextField("something odd", blank=True)

    CONTENT = ("enclosure", "slot", "head_count", "n_expected", "odd")

    class Meta(LoggedRecord.Meta):
        verbose_name = "look"
        indexes = (models.Index(fields=["enclosure", "-occurred_at"], name="roundcheck_newest"),)


class RoundSkip(LoggedRecord):
    """Passed by on the round, and why."""

    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="round_skips")
    slot = models.CharField("round", max_length=8, blank=True, choices=Slot)
    cause = models.CharField("why", max_length=120)

    CONTENT = ("enclosure", "slot", "cause")

    class Meta(LoggedRecord.Meta):
        verbose_name = "skip"
        indexes = (models.Index(fields=["enclosure", "-occurred_at"], name="roundskip_newest"),)
