"""A place and its filter as built. The same filter figures serve a new build, a re-stacked bed and the drawing that answers while typing."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar

from django import forms

from enclosures.estimates import units
from enclosures.forms.fields import NeedsChoice, QuantityField, WholeNumberField
from enclosures.forms.typed import FLOW, LENGTH, VOLUME, UnitSet
from enclosures.models import Enclosure, EnclosureKind, Filter, FilterBuild, LitterLevel, MediaMaterial, Pump

AREA = UnitSet("m²", {"m2": lambda value: value, "cm2": lambda v: v / 10_000, "cm²": lambda v: v / 10_000})
PERCENT = UnitSet("%", {})
GRAMS = UnitSet("g", {})
WATTS = UnitSet("W", {"watt": lambda value: value, "watts": lambda value: value})
LITTER = UnitSet("g", {})
N_LAYERS = 3
NO_DATE = "That is no day of the calendar."
CODE = re.compile(r"^[\w.\-]+$")

NO_FILTER = "none"
FILTER_KINDS = [
    ("upflow", "upflow, over a void"),
    ("sponge", "sponge"),
    ("other", "another kind"),
    (NO_FILTER, "none"),
]


@dataclass(frozen=True, kw_only=True)
class LayerGiven:
    material: str
    depth_mm: float
    grade_min_mm: float | None
    grade_max_mm: float | None


class RangedForm(forms.Form):
    """Hard ranges in one table: field -> (low, high, unit). Cleaned quantities become plain numbers."""

    RANGES: ClassVar[dict[str, tuple[float, float, str]]] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._show_units()

    def _show_units(self) -> None:
        """The field template prints the unit behind the entry."""
        for field in self.fields.values():
            if isinstance(field, QuantityField):
                field.unit = "°C" if field.unit_set.own == "degC" else field.unit_set.own  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name, (low, high, unit) in self.ranges().items():
            quantity = cleaned.get(name)
            if quantity is None:
                continue
            value = quantity.value
            cleaned[name] = value
            if not math.isfinite(value) or not low <= value <= high:
                said, least, most = (units.recorded_quantity(figure, unit) for figure in (value, low, high))
                self.add_error(name, f"{said} cannot be; it is from {least} to {most}.")
        return cleaned

    def add_error(self, field: Any, error: Any) -> None:
        """A unit or a comma that can mean two things is no question here, for want of buttons: the ways to write it are told."""
        if isinstance(error, NeedsChoice) and error.choices:
            ways = " or ".join(f"“{choice.text}”" for choice in error.choices)
            error = f"{error.message.partition('.')[0]}. Write {ways}."
        super().add_error(field, error)

    def ranges(self) -> dict[str, tuple[float, float, str]]:
        return self.RANGES


class PlaceForm(RangedForm):
    code = forms.CharField(
        max_length=20, label="Code", help_text="What the label on it says, for example P5.",
        error_messages={"required": "Give the code its label says: everything else hangs on it."},
    )  # fmt: skip
    name = forms.CharField(max_length=120, required=False, label="Name", help_text="Who lives there, in a few words.")
    kind = forms.ChoiceField(choices=EnclosureKind.choices, label="Kind")
    indoor = forms.TypedChoiceField(
        choices=[("1", "indoors"), ("0", "outdoors")],
        coerce=lambda word: word == "1",
        label="Where",
    )
    water_volume_l = QuantityField(
        VOLUME, label="Water", required=True, error_messages={"required": "Say how much water it holds; a good guess will do."}
    )  # fmt: skip
    surface_m2 = QuantityField(AREA, label="Water surface")
    depth_mm = QuantityField(LENGTH, label="Water depth")
    litter_level = forms.ChoiceField(
        choices=LitterLevel.choices, label="Trees", help_text="Leaves fill a void too.", required=False
    )
    litter_g_m2_year = QuantityField(
        LITTER,
        label="Leaf litter, if measured",
        help_text="Dry grams per m² and year; takes the place of the choice above.",
    )
    round_order = WholeNumberField(what="Place on the round", low=0, high=32_000, label="Place on the round")
    has_deep_vault = forms.BooleanField(required=False, label="Its pump vault is deeper than 1.2 m")

    RANGES: ClassVar = {
        "water_volume_l": (1, 2_000_000, "L"),
        "surface_m2": (0.01, 50_000, "m²"),
        "depth_mm": (10, 20_000, "mm"),
        "litter_g_m2_year": (0, 10_000, "g"),
    }

    def __init__(self, *args: Any, enclosure: Enclosure | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.enclosure = enclosure
        if enclosure is not None:
            self.fields["code"].disabled = True

    def clean_code(self) -> str:
        code = self.cleaned_data["code"].strip()
        if not CODE.match(code):
            raise forms.ValidationError("A code has letters, figures, points and dashes, and no spaces.")
        if self.enclosure is None and Enclosure.objects.filter(code__iexact=code).exists():
            raise forms.ValidationError(f"There is an enclosure {code} already.")
        return code

    def clean_litter_level(self) -> str:
        return self.cleaned_data["litter_level"] or LitterLevel.NONE

    @staticmethod
    def initial_for(enclosure: Enclosure) -> dict[str, Any]:
        names = ("code", "name", "kind", "water_volume_l", "surface_m2", "depth_mm", "litter_level", "litter_g_m2_year")
        initial = {name: getattr(enclosure, name) for name in (*names, "round_order", "has_deep_vault")}
        return {**{k: _plain(v) for k, v in initial.items()}, "indoor": "1" if enclosure.indoor else "0"}


class FilterForm(RangedForm):
    """As built. `filter_kind` other than upflow needs nothing more; an upflow filter needs its area and void height."""

    filter_kind = forms.ChoiceField(choices=FILTER_KINDS, initial="upflow", label="Filter")
    filter_code = forms.CharField(
        max_length=24, required=False, label="Filter code", help_text="Empty: the place’s code and -F."
    )
    commissioned_on = forms.DateField(
        required=False, label="Running since", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Empty: from today. Earlier than the first cleanout on record means its start is not known.",
        error_messages={"invalid": NO_DATE},
    )  # fmt: skip
    chamber_length_mm = QuantityField(LENGTH, label="Chamber length")
    chamber_width_mm = QuantityField(LENGTH, label="Chamber width")
    chamber_area_m2 = QuantityField(AREA, label="or its area", help_text="For a chamber that is not a rectangle.")
    void_height_mm = QuantityField(LENGTH, label="Void height", help_text="Floor to underside of the grid.")
    usable_percent = QuantityField(PERCENT, label="Usable", help_text="Less legs, slope and dead corners.")
    due_percent = QuantityField(PERCENT, label="Due at", help_text="Share of the void height.")
    water_over_media_mm = QuantityField(LENGTH, label="Water over the bed")
    pipe_bore_mm = QuantityField(LENGTH, label="Cleanout pipe, inside")
    pipe_top_mm = QuantityField(LENGTH, label="Pipe top above water")
    grid_mm = QuantityField(LENGTH, label="Support grid, thick")
    has_weir = forms.TypedChoiceField(
        choices=[("", "not noted"), ("1", "yes"), ("0", "no")],
        coerce=lambda word: word == "1",
        empty_value=None,
        required=False,
        label="Spills over a weir",
    )
    baffle_count = WholeNumberField(what="Baffles", high=20, label="Baffles")
    baseline_flow_l_per_h = QuantityField(FLOW, label="Flow when clean", help_text="Measured at the return on day one.")
    baseline_head_mm = QuantityField(LENGTH, label="Head difference when clean")
    pump_code = forms.CharField(max_length=40, required=False, label="Pump label")
    pump_rated_l_per_h = QuantityField(FLOW, label="Rated")
    pump_watts = QuantityField(WATTS, label="Power")
    planned_feed_g = QuantityField(
        GRAMS, label="Dry feed a day", help_text="As planned; only for the first forecast shown here."
    )

    RANGES: ClassVar = {
        "chamber_length_mm": (20, 50_000, "mm"),
        "chamber_width_mm": (20, 50_000, "mm"),
        "chamber_area_m2": (0.005, 50, "m²"),
        "void_height_mm": (10, 2000, "mm"),
        "usable_percent": (20, 100, "%"),
        "due_percent": (30, 100, "%"),
        "water_over_media_mm": (0, 3000, "mm"),
        "pipe_bore_mm": (10, 600, "mm"),
        "pipe_top_mm": (0, 3000, "mm"),
        "grid_mm": (0, 500, "mm"),
        "baseline_flow_l_per_h": (0, 200_000, "L/h"),
        "baseline_head_mm": (0, 2000, "mm"),
        "pump_rated_l_per_h": (1, 200_000, "L/h"),
        "pump_watts": (0.1, 20_000, "W"),
        "planned_feed_g": (0, 100_000, "g"),
    }

    def __init__(self, *args: Any, default_due_percent: float = 70, is_rebuild: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.is_rebuild = is_rebuild
        self.fields["due_percent"].initial = f"{default_due_percent:g}"
        self.fields["usable_percent"].initial = "80"
        for i in range(1, N_LAYERS + 1):
            self.fields[f"layer_{i}_material"] = forms.ChoiceField(
                choices=[("", "–"), *MediaMaterial.choices], required=False, label=f"Layer {i}, grains"
            )
            self.fields[f"layer_{i}_from_mm"] = QuantityField(LENGTH, label="from")
            self.fields[f"layer_{i}_to_mm"] = QuantityField(LENGTH, label="to")
            self.fields[f"layer_{i}_depth_mm"] = QuantityField(LENGTH, label="deep")
        self._show_units()
        if is_rebuild:
            for name in (
                "filter_kind",
                "filter_code",
                "commissioned_on",
                "pump_code",
                "pump_rated_l_per_h",
                "pump_watts",
            ):
                del self.fields[name]

    def ranges(self) -> dict[str, tuple[float, float, str]]:
        layers: dict[str, tuple[float, float, str]] = {}
        for i in range(1, N_LAYERS + 1):
            layers[f"layer_{i}_from_mm"] = (0, 500, "mm")
            layers[f"layer_{i}_to_mm"] = (0, 500, "mm")
            layers[f"layer_{i}_depth_mm"] = (1, 3000, "mm")
        return {**self.RANGES, **layers}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.is_upflow:
            return cleaned
        length, width = cleaned.get("chamber_length_mm"), cleaned.get("chamber_width_mm")
        if not cleaned.get("chamber_area_m2") and isinstance(length, float) and isinstance(width, float):
            cleaned["chamber_area_m2"] = length * width / 1e6
            if not 0.005 <= cleaned["chamber_area_m2"] <= 50 and not {"chamber_length_mm", "chamber_width_mm"} & set(
                self.errors
            ):
                self.add_error("chamber_width_mm", "That makes a chamber of less than 0.005 or more than 50 m².")
        if not cleaned.get("chamber_area_m2") and not {
            "chamber_length_mm",
            "chamber_width_mm",
            "chamber_area_m2",
        } & set(self.errors):
            self.add_error("chamber_length_mm", "Give length and width, or the area: without it there is no forecast.")
        if cleaned.get("void_height_mm") is None and "void_height_mm" not in self.errors:
            self.add_error("void_height_mm", "Give the height of the void: without it there is no forecast.")
        self._clean_layers(cleaned)
        code = cleaned.get("filter_code")
        if code:
            if not CODE.match(code):
                self.add_error("filter_code", "A code has letters, figures, points and dashes, and no spaces.")
            elif Filter.objects.filter(code__iexact=code).exists():
                self.add_error("filter_code", f"There is a filter {code} already.")
        pump = cleaned.get("pump_code")
        if pump and Pump.objects.filter(code__iexact=pump).exists():
            self.add_error(
                "pump_code", f"There is a pump {pump} already; fit it from the records, or give this one another label."
            )
        return cleaned

    @property
    def is_upflow(self) -> bool:
        return self.is_rebuild or self.cleaned_data.get("filter_kind") == "upflow"

    def _clean_layers(self, cleaned: dict[str, Any]) -> None:
        for i in range(1, N_LAYERS + 1):
            material, depth = cleaned.get(f"layer_{i}_material"), cleaned.get(f"layer_{i}_depth_mm")
            low, high = cleaned.get(f"layer_{i}_from_mm"), cleaned.get(f"layer_{i}_to_mm")
            if depth is not None and not material:
                self.add_error(f"layer_{i}_material", f"Say what layer {i} is made of.")
            if material and depth is None and f"layer_{i}_depth_mm" not in self.errors:
                self.add_error(f"layer_{i}_depth_mm", f"Say how deep layer {i} is.")
            if isinstance(low, float) and isinstance(high, float) and high < low:
                self.add_error(f"layer_{i}_to_mm", f"The larger grains of layer {i} come second.")

    def layers(self) -> list[LayerGiven]:
        """The layers that are complete, from the grid upwards."""
        given = []
        for i in range(1, N_LAYERS + 1):
            material, depth = self.cleaned_data.get(f"layer_{i}_material"), self.cleaned_data.get(f"layer_{i}_depth_mm")
            if material and isinstance(depth, float):
                low, high = self.cleaned_data.get(f"layer_{i}_from_mm"), self.cleaned_data.get(f"layer_{i}_to_mm")
                given.append(LayerGiven(material=material, depth_mm=depth, grade_min_mm=low, grade_max_mm=high))
        return given

    def build_values(self) -> dict[str, Any]:
        """The figures of the build, by the names of the record."""
        c = self.cleaned_data
        names = (
            "chamber_area_m2", "void_height_mm", "chamber_length_mm", "chamber_width_mm", "baseline_flow_l_per_h",
            "baseline_head_mm", "water_over_media_mm", "pipe_bore_mm", "pipe_top_mm", "grid_mm", "has_weir", "baffle_count",
        )  # fmt: skip
        values = {name: c.get(name) for name in names}
        values["usable_fraction"] = c["usable_percent"] / 100 if c.get("usable_percent") is not None else 0.8
        values["due_fill"] = c["due_percent"] / 100 if c.get("due_percent") is not None else None
        return values

    def layer_rows(self) -> list[list[forms.BoundField]]:
        """The fields of each layer, for the page."""
        names = ("material", "from_mm", "to_mm", "depth_mm")
        return [[self[f"layer_{i}_{name}"] for name in names] for i in range(1, N_LAYERS + 1)]


class RebuildForm(FilterForm):
    """A new as-built from a day on: the void raised, the bed laid again. What was measured before keeps its own geometry."""

    valid_from = forms.DateField(
        label="From",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="The day it ran again. The day of an as-built on record puts that one right.",
        error_messages={"required": "Say from which day it runs so.", "invalid": NO_DATE},
    )
    reason = forms.CharField(
        label="What was changed, and why", widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": "Say what was changed: later readings are read by it."},
    )  # fmt: skip
    closes_disagreement = forms.BooleanField(
        required=False, label="It mends what made the signals disagree", help_text="The old doubt is then closed."
    )

    def __init__(self, *args: Any, today: date, filter: Filter, **kwargs: Any) -> None:
        super().__init__(*args, is_rebuild=True, **kwargs)
        self.today, self.filter = today, filter
        self.wrong_build: FilterBuild | None = None  # of the same day: this one puts it right

    def clean_valid_from(self) -> date:
        day = self.cleaned_data["valid_from"]
        if day > self.today:
            raise forms.ValidationError("That day has not come yet. Check the date.")
        self.wrong_build = self.filter.builds.filter(valid_from=day).first()
        return day

    @staticmethod
    def initial_for(filter: Filter, *, today: date, default_due_fill: float) -> dict[str, Any]:
        build = filter.build_on(today)
        initial: dict[str, Any] = {"valid_from": today.isoformat(), "due_percent": f"{100 * default_due_fill:g}"}
        if build is None:
            return initial
        for name in (
            "chamber_length_mm", "chamber_width_mm", "void_height_mm", "water_over_media_mm", "pipe_bore_mm",
            "pipe_top_mm", "grid_mm", "baseline_flow_l_per_h", "baseline_head_mm", "baffle_count",
        ):  # fmt: skip
            initial[name] = _plain(getattr(build, name))
        rectangle = (build.chamber_length_mm or 0) * (build.chamber_width_mm or 0) / 1e6
        if abs(rectangle - build.chamber_area_m2) > 1e-9:
            initial["chamber_area_m2"] = _plain(build.chamber_area_m2)
        initial["usable_percent"] = _plain(100 * build.usable_fraction)
        initial["due_percent"] = _plain(100 * (build.due_fill or default_due_fill))
        initial["has_weir"] = {True: "1", False: "0", None: ""}[build.has_weir]
        for i, layer in enumerate(build.layers.all()[:N_LAYERS], 1):
            initial[f"layer_{i}_material"] = layer.material
            initial[f"layer_{i}_from_mm"] = _plain(layer.grade_min_mm)
            initial[f"layer_{i}_to_mm"] = _plain(layer.grade_max_mm)
            initial[f"layer_{i}_depth_mm"] = _plain(layer.depth_mm)
        return initial


def _plain(value: Any) -> Any:
    """A number as a person would type it again."""
    return f"{value:.6g}" if isinstance(value, float) else value
