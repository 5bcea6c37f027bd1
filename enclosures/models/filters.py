"""Filters as built, with dates: what was measured then belongs to the geometry of then."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Self

from django.db import models

from enclosures.estimates.void import usable_void_l
from enclosures.models.constraints import in_order, one_of, within
from enclosures.models.places import Enclosure


class FilterKind(models.TextChoices):
    UPFLOW = "upflow", "upflow over a void"
    SPONGE = "sponge", "sponge"
    OTHER = "other", "other"


class FilterQuerySet(models.QuerySet):
    def upflow(self) -> Self:
        return self.filter(kind=FilterKind.UPFLOW)

    def in_use_on(self, day: date) -> Self:
        return self.filter(models.Q(retired_on__isnull=True) | models.Q(retired_on__gt=day))

    def with_place(self) -> Self:
        return self.select_related("enclosure", "enclosure__facility")


class Filter(models.Model):
    code = models.CharField(max_length=24, unique=True)
    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="filters")
    kind = models.CharField(max_length=8, choices=FilterKind, default=FilterKind.UPFLOW)
    commissioned_on = models.DateField("running since", null=True, blank=True)
    retired_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    objects = FilterQuerySet.as_manager()

    class Meta:
        ordering = ("code",)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            in_order("commissioned_on", "retired_on"),
            one_of("kind", FilterKind.values),
        ]

    def __str__(self) -> str:
        return self.code

    def build_on(self, day: date) -> FilterBuild | None:
        """The build in force on a day; prefetch `builds` to ask this of many filters."""
        before = [build for build in self.builds.all() if build.valid_from <= day]
        return max(before, key=lambda build: build.valid_from) if before else None


class FilterBuild(models.Model):
    """One dated as-built state. Lengths in mm, area in m², flow in L/h. `due_fill` empty: the facility's default."""

    filter = models.ForeignKey(Filter, on_delete=models.PROTECT, related_name="builds")
    valid_from = models.DateField()
    chamber_area_m2 = models.FloatField("chamber area, m²")
    void_height_mm = models.FloatField("void height, mm", help_text="Floor to underside of the grid.")
    usable_fraction = models.FloatField("usable share of the void", default=0.8)
    due_fill = models.FloatField("due at this share of the void", null=True, blank=True)
    chamber_length_mm = models.FloatField("chamber length, mm", null=True, blank=True)
    chamber_width_mm = models.FloatField("chamber width, mm", null=True, blank=True)
    baseline_flow_l_per_h = models.FloatField("flow when clean, L/h", null=True, blank=True)
    baseline_head_mm = models.FloatField("head difference when clean, mm", null=True, blank=True)
    water_over_media_mm = models.FloatField("water over the media, mm", null=True, blank=True)
    pipe_bore_mm = models.FloatField("cleanout pipe, inside mm", null=True, blank=True)
    pipe_count = models.PositiveSmallIntegerField("cleanout pipes", null=True, blank=True)
    pipe_top_mm = models.FloatField("pipe top above the water, mm", null=True, blank=True)
    grid_mm = models.FloatField("support grid, mm thick", null=True, blank=True)
    floor_fall_mm_per_m = models.FloatField("floor falls to the pipe, mm per m", null=True, blank=True)
    has_weir = models.BooleanField("spills over a weir", null=True, blank=True)
    baffle_count = models.PositiveSmallIntegerField("baffles", null=True, blank=True)
    guard_opening_mm = models.FloatField("intake guard opening, mm", null=True, blank=True)
    closes_disagreement = models.BooleanField("mends what made signals disagree", default=False)
    reason = models.TextField("why it was built or changed", blank=True)

    class Meta:
        ordering = ("filter", "valid_from")
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["filter", "valid_from"], name="one_build_a_day"),
            within("chamber_area_m2", 0.005, 50),
            within("void_height_mm", 10, 2000),
            within("usable_fraction", 0.2, 1),
            within("due_fill", 0.3, 1),
            within("chamber_length_mm", 20, 50_000),
            within("chamber_width_mm", 20, 50_000),
            within("baseline_flow_l_per_h", 0, 200_000),
            within("baseline_head_mm", 0, 2000),
            within("water_over_media_mm", 0, 3000),
            within("pipe_bore_mm", 10, 600),
            within("pipe_top_mm", 0, 3000),
            within("grid_mm", 0, 500),
            within("floor_fall_mm_per_m", 0, 500),
            within("guard_opening_mm", 0, 100),
        ]

    def __str__(self) -> str:
        return f"{self.filter_id} as built {self.valid_from}"

    @property
    def usable_void_l(self) -> float:
        return usable_void_l(
            chamber_area_m2=self.chamber_area_m2,
            void_height_mm=self.void_height_mm,
            usable_fraction=self.usable_fraction,
        )


class MediaMaterial(models.TextChoices):
    LAVA = "lava", "lava"
    GRAVEL = "gravel", "gravel"
    SOIL = "soil", "soil"
    SAND = "sand", "sand"
    CLAY = "clay", "expanded clay"
    PUMICE = "pumice", "pumice"
    PLASTIC = "plastic", "plastic"
    MAT = "mat", "mat"
    OTHER = "other", "other"


class MediaLayer(models.Model):
    """Layers count from the grid upwards. `free_space` 0-1; `area_m2_per_m3` the outer, usable surface."""

    build = models.ForeignKey(FilterBuild, on_delete=models.PROTECT, related_name="layers")
    position = models.PositiveSmallIntegerField()
    material = models.CharField(max_length=8, choices=MediaMaterial, default=MediaMaterial.LAVA)
    grade_min_mm = models.FloatField(null=True, blank=True)
    grade_max_mm = models.FloatField(null=True, blank=True)
    depth_mm = models.FloatField()
    free_space = models.FloatField(null=True, blank=True)
    area_m2_per_m3 = models.FloatField(null=True, blank=True)
    is_new = models.BooleanField(default=True)

    class Meta:
        ordering = ("build", "position")
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["build", "position"], name="one_layer_a_place"),
            within("depth_mm", 1, 3000),
            within("free_space", 0.05, 0.95),
            within("area_m2_per_m3", 10, 5000),
            within("grade_min_mm", 0, 500),
            within("grade_max_mm", 0, 500),
            in_order("grade_min_mm", "grade_max_mm"),
        ]

    def __str__(self) -> str:
        return f"{self.get_material_display()}, {self.depth_mm:g} mm"


class Pump(models.Model):
    code = models.CharField("label", max_length=40, unique=True)
    rated_l_per_h = models.FloatField("rated flow, L/h", null=True, blank=True)
    watts = models.FloatField(null=True, blank=True)
    serial = models.CharField(max_length=60, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ("code",)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            within("rated_l_per_h", 0, 200_000, above=True),
            within("watts", 0, 20_000, above=True),
        ]

    def __str__(self) -> str:
        return self.code


class PumpFitting(models.Model):
    """Which pump drove which filter, and when. `to_on` is the day it came off (not included); empty: still on."""

    pump = models.ForeignKey(Pump, on_delete=models.PROTECT, related_name="fittings")
    filter = models.ForeignKey(Filter, on_delete=models.PROTECT, related_name="pump_fittings")
    from_on = models.DateField()
    to_on = models.DateField(null=True, blank=True)
    entered_at = models.DateTimeField(null=True, blank=True)
    entered_by = models.CharField(max_length=40, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ("filter", "from_on")
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["pump", "filter", "from_on"], name="one_fitting_start_a_day"),
            in_order("from_on", "to_on"),
        ]

    def __str__(self) -> str:
        return f"{self.pump_id} on {self.filter_id} from {self.from_on}"
