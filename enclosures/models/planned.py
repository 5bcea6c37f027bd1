"""What is decided for days ahead: animals that are to move, come or go, and the dates of seasons. Decisions are records like any other."""

from __future__ import annotations

from typing import ClassVar, Self

from django.db import models
from django.db.models import F, Q

from enclosures.models.animals import Animal, Taxon
from enclosures.models.constraints import in_order, one_of, within
from enclosures.models.places import Enclosure, SeasonKind
from enclosures.models.record import LoggedRecord, RecordPart, RecordQuerySet


class PlanState(models.TextChoices):
    AHEAD = "ahead", "ahead"
    DONE = "done", "done"
    CALLED_OFF = "off", "called off"


class PlannedQuerySet(RecordQuerySet):
    def ahead(self) -> Self:
        return self.filter(state=PlanState.AHEAD)


class LivePlanned(models.Manager.from_queryset(PlannedQuerySet)):  # type: ignore[misc]
    def get_queryset(self) -> PlannedQuerySet:
        return super().get_queryset().live()


class Planned(LoggedRecord):
    """Decided at `occurred_at`. Done and called off are newer versions of it; a call-off says why."""

    state = models.CharField(max_length=8, choices=PlanState, default=PlanState.AHEAD)

    objects = LivePlanned()
    all_rows = models.Manager.from_queryset(PlannedQuerySet)()

    class Meta(LoggedRecord.Meta):
        abstract = True


class PlannedMove(Planned):
    """Animals to go from one enclosure to another on about `planned_on`; an empty end is outside. Named (its movers), or only so many.

    taxon   what kind the unnamed are, where that is known
    mass_g  what each is expected to weigh then, where no weighing says so
    """

    from_enclosure = models.ForeignKey(
        Enclosure, null=True, blank=True, on_delete=models.PROTECT, related_name="moves_away"
    )
    to_enclosure = models.ForeignKey(
        Enclosure, null=True, blank=True, on_delete=models.PROTECT, related_name="moves_here"
    )
    planned_on = models.DateField("on about")
    n_animals = models.PositiveSmallIntegerField("how many", null=True, blank=True)
    taxon = models.ForeignKey(Taxon, null=True, blank=True, on_delete=models.PROTECT, related_name="planned_moves")
    mass_g = models.FloatField("each about, g", null=True, blank=True)

    CONTENT = ("from_enclosure", "to_enclosure", "planned_on", "n_animals", "taxon", "mass_g", "state")
    PARTS: ClassVar[dict[str, tuple[str, ...]]] = {"movers": ("animal",)}

    class Meta(Planned.Meta):
        indexes = (models.Index(fields=["planned_on"], name="planned_move_by_day"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            models.CheckConstraint(
                condition=Q(from_enclosure__isnull=False) | Q(to_enclosure__isnull=False),
                name="plannedmove_touches_us",
                violation_error_message="Say where they come from or where they go.",
            ),
            models.CheckConstraint(
                condition=Q(from_enclosure__isnull=True)
                | Q(to_enclosure__isnull=True)
                | ~Q(from_enclosure=F("to_enclosure")),
                name="plannedmove_is_a_move",
                violation_error_message="They are there already: choose another place.",
            ),
            within("n_animals", 1, 10_000),
            within("mass_g", 0.3, 200_000),
            one_of("state", PlanState.values),
        ]


class PlannedMover(RecordPart):
    """One of the animals that are to move."""

    move = models.ForeignKey(PlannedMove, on_delete=models.CASCADE, related_name="movers")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="planned_moves")

    class Meta(RecordPart.Meta):
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["move", "position"], name="one_mover_a_place"),
        ]

    def __str__(self) -> str:
        return f"{self.animal_id}"


class PlannedSeason(Planned):
    """A spell decided on beforehand. Both days included; `to_on` empty: until further notice. When it begins a Season is written, and
    this is done; its end stays what is planned until the season has ended."""

    KINDS: ClassVar = (SeasonKind.BRUMATION, SeasonKind.DRAINED, SeasonKind.RESTING)

    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="planned_seasons")
    kind = models.CharField("what", max_length=10, choices=[(kind.value, kind.label) for kind in KINDS])
    from_on = models.DateField("from")
    to_on = models.DateField("to", null=True, blank=True)

    CONTENT = ("enclosure", "kind", "from_on", "to_on", "state")

    class Meta(Planned.Meta):
        indexes = (models.Index(fields=["enclosure", "from_on"], name="planned_season_by_place"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            in_order("from_on", "to_on"),
            one_of("kind", ["brumation", "drained", "resting"]),
            one_of("state", PlanState.values),
        ]
