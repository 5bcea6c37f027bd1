"""What is known of the void: soundings, flow checks, cleanouts, and the upkeep around them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from enclosures.models.constraints import one_of, within
from enclosures.models.filters import Filter
from enclosures.models.record import LoggedRecord, RecordPart

ODOUR = [(0, "none"), (1, "earthy"), (2, "musty"), (3, "rotten egg")]
FIRST_DRAW = [(0, "clear"), (1, "tea"), (2, "brown"), (3, "black soup"), (4, "black with gas")]


class DepthQualifier(models.TextChoices):
    EXACT = "", "as read"
    AT_GRID = ">=", "rod at the grid"
    BELOW_MARK = "<=", "below the mark"


class Sounding(LoggedRecord):
    """One sounding at one pipe, usually three readings. Depth is never set against another day's geometry."""

    filter = models.ForeignKey(Filter, on_delete=models.PROTECT, related_name="soundings")
    point = models.CharField("where", max_length=40, blank=True)
    method = models.CharField(
        max_length=6, blank=True, choices=[("rod", "rod"), ("core", "core tube"), ("feel", "by feel")]
    )
    pump_off_min = models.FloatField("pump off, min", null=True, blank=True)
    first_draw = models.PositiveSmallIntegerField(null=True, blank=True, choices=FIRST_DRAW)
    odour = models.PositiveSmallIntegerField("smell at the pipe", null=True, blank=True, choices=ODOUR)

    CONTENT = ("filter", "point", "method", "pump_off_min", "first_draw", "odour")
    PARTS: ClassVar[dict[str, tuple[str, ...]]] = {"readings": ("depth_mm", "qualifier")}

    class Meta(LoggedRecord.Meta):
        indexes = (models.Index(fields=["filter", "-occurred_at"], name="sounding_newest"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            within("pump_off_min", 0, 10_000),
            within("odour", 0, 3),
            within("first_draw", 0, 4),
        ]


class SoundingReading(RecordPart):
    sounding = models.ForeignKey(Sounding, on_delete=models.PROTECT, related_name="readings")
    depth_mm = models.FloatField()
    qualifier = models.CharField(max_length=2, choices=DepthQualifier, blank=True)

    class Meta(RecordPart.Meta):
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["sounding", "position"], name="one_depth_a_place"),
            within("depth_mm", 0, 2000),
            one_of("qualifier", DepthQualifier.values),
        ]

    def __str__(self) -> str:
        return f"{self.qualifier}{self.depth_mm:g} mm"


class FlowCheck(LoggedRecord):
    """Flow at the return, and what the levels say. Level over media is ± from the painted mark."""

    filter = models.ForeignKey(Filter, on_delete=models.PROTECT, related_name="flow_checks")
    flow_l_per_h = models.FloatField("flow, L/h", null=True, blank=True)
    litres = models.FloatField("bucket, L", null=True, blank=True)
    seconds = models.FloatField("time, s", null=True, blank=True)
    head_difference_mm = models.FloatField("head difference, mm", null=True, blank=True)
    level_over_media_mm = models.FloatField("level, mm from the mark", null=True, blank=True)
    odour = models.PositiveSmallIntegerField("smell at the pipe", null=True, blank=True, choices=ODOUR)
    return_water = models.CharField(
        max_length=6, blank=True, choices=[("clear", "clear"), ("haze", "haze"), ("bits", "bits in it")]
    )

    CONTENT = (
        "filter", "flow_l_per_h", "litres", "seconds", "head_difference_mm", "level_over_media_mm", "odour",
        "return_water",
    )  # fmt: skip

    class Meta(LoggedRecord.Meta):
        indexes = (models.Index(fields=["filter", "-occurred_at"], name="flowcheck_newest"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            within("flow_l_per_h", 0, 200_000),
            within("litres", 0, 10_000, above=True),
            within("seconds", 0, 86_400, above=True),
            within("head_difference_mm", -50, 2000),
            within("level_over_media_mm", -1000, 1000),
            within("odour", 0, 3),
        ]


class CleanoutOutcome(models.TextChoices):
    FULL = "full", "emptied"
    PART = "part", "partly"
    ATTEMPTED = "attempted", "tried, nothing out"


class Cleanout(LoggedRecord):
    """Sludge extraction from the void. Saved in two halves: `stage` "before" is the first, superseded by "done".

    Until the second half is there the sludge counts as still in place.
    """

    filter = models.ForeignKey(Filter, on_delete=models.PROTECT, related_name="cleanouts")
    stage = models.CharField(max_length=6, choices=[("before", "begun"), ("done", "finished")], default="done")
    outcome = models.CharField(max_length=10, choices=CleanoutOutcome)
    cause = models.CharField("why now", max_length=40, blank=True)
    depth_before_mm = models.FloatField("depth before, mm", null=True, blank=True)
    depth_before_qualifier = models.CharField(max_length=2, choices=DepthQualifier, blank=True)
    depth_after_mm = models.FloatField("depth after, mm", null=True, blank=True)
    slurry_l = models.FloatField("slurry out, L", null=True, blank=True)
    slurry_known_by = models.CharField(
        max_length=8, blank=True, choices=[("drums", "drums counted"), ("meter", "meter"), ("guess", "guess")]
    )
    minutes = models.FloatField("took, min", null=True, blank=True)
    people = models.CharField("who", max_length=80, blank=True)
    pump_off_min = models.FloatField("pump off, min", null=True, blank=True)
    flow_before_l_per_h = models.FloatField("flow before, L/h", null=True, blank=True)
    flow_after_l_per_h = models.FloatField("flow after, L/h", null=True, blank=True)
    head_before_mm = models.FloatField("head difference before, mm", null=True, blank=True)
    head_after_mm = models.FloatField("head difference after, mm", null=True, blank=True)
    water_replaced_l = models.FloatField("water replaced, L", null=True, blank=True)
    first_draw = models.PositiveSmallIntegerField(null=True, blank=True, choices=FIRST_DRAW)
    odour = models.PositiveSmallIntegerField("smell", null=True, blank=True, choices=ODOUR)
    colour = models.CharField(max_length=40, blank=True)
    consistency = models.CharField(max_length=40, blank=True)
    media_disturbed = models.BooleanField(null=True, blank=True)
    sludge_to = models.CharField("where the sludge went", max_length=80, blank=True)
    found = models.CharField("found in it", max_length=200, blank=True)
    safety_ticked = models.BooleanField("hygiene and electric checks done", default=False)

    CONTENT = (
        "filter", "stage", "outcome", "cause", "depth_before_mm", "depth_before_qualifier", "depth_after_mm",
        "slurry_l", "slurry_known_by", "minutes", "people", "pump_off_min", "flow_before_l_per_h",
        "flow_after_l_per_h", "head_before_mm", "head_after_mm", "water_replaced_l", "first_draw", "odour",
        "colour", "consistency", "media_disturbed", "sludge_to", "found", "safety_ticked",
    )  # fmt: skip

    class Meta(LoggedRecord.Meta):
        indexes = (models.Index(fields=["filter", "-occurred_at"], name="cleanout_newest"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            within("depth_before_mm", 0, 2000),
            within("depth_after_mm", 0, 2000),
            within("slurry_l", 0, 100_000),
            within("minutes", 0, 10_000),
            within("pump_off_min", 0, 10_000),
            within("flow_before_l_per_h", 0, 200_000),
            within("flow_after_l_per_h", 0, 200_000),
            within("head_before_mm", -50, 2000),
            within("head_after_mm", -50, 2000),
            within("water_replaced_l", 0, 2_000_000),
            within("odour", 0, 3),
            within("first_draw", 0, 4),
            one_of("outcome", CleanoutOutcome.values),
            models.CheckConstraint(
                condition=models.Q(depth_after_mm__isnull=True)
                | models.Q(depth_before_mm__isnull=True)
                | models.Q(depth_after_mm__lte=models.F("depth_before_mm") + 10),
                name="cleanout_leaves_no_more",
                violation_error_message="The depth after is more than the depth before.",
            ),
        ]


class UpkeepKind(models.TextChoices):
    SCREEN = "screen", "intake screen cleared"
    SPONGE = "sponge", "prefilter rinsed"
    PUMP_SERVICE = "pump_service", "pump cleaned"
    PUMP_SWAP = "pump_swap", "pump changed"
    WEIR = "weir", "outlet cleared"
    PLANTS = "plants", "plants cut"
    RESTACK = "restack", "bed lifted and laid again"
    LEAK = "leak", "leak mended"
    RCD_TEST = "rcd_test", "RCD/GFCI button tested"
    OTHER = "other", "other"


class Upkeep(LoggedRecord):
    filter = models.ForeignKey(Filter, on_delete=models.PROTECT, related_name="upkeep")
    kind = models.CharField(max_length=14, choices=UpkeepKind)
    fullness = models.PositiveSmallIntegerField("how full it was, 0–4", null=True, blank=True)
    minutes = models.FloatField(null=True, blank=True)
    parts = models.CharField(max_length=120, blank=True)

    CONTENT = ("filter", "kind", "fullness", "minutes", "parts")

    class Meta(LoggedRecord.Meta):
        verbose_name_plural = "upkeep"
        indexes = (models.Index(fields=["filter", "-occurred_at"], name="upkeep_newest"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            within("fullness", 0, 4),
            within("minutes", 0, 10_000),
            one_of("kind", UpkeepKind.values),
        ]
