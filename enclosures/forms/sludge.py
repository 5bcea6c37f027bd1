"""The void and the flow: soundings, flow checks, upkeep. Cleanouts have a module of their own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms

from enclosures.estimates.units import recorded_quantity
from enclosures.forms.fields import DepthField, QuantityField
from enclosures.forms.log_form import LogForm
from enclosures.forms.typed import DURATION, FLOW, LENGTH, SECONDS, VOLUME, Choice, Quantity, four_figures
from enclosures.models import (
    FIRST_DRAW,
    ODOUR,
    DepthQualifier,
    Filter,
    FilterBuild,
    FlowCheck,
    Moment,
    Sounding,
    Upkeep,
    UpkeepKind,
)

N_DEPTHS = 3
DEPTH_NAMES = tuple(f"depth_{n}" for n in range(1, N_DEPTHS + 1))
GRID = DepthQualifier.AT_GRID.value
RETURN_WATER = [("clear", "clear"), ("haze", "haze"), ("bits", "bits in it")]


@dataclass(frozen=True, slots=True)
class DepthSaid:
    depth_mm: float
    qualifier: str


def one_of(label: str, choices: Sequence[tuple[Any, str]]) -> forms.TypedChoiceField:
    """Chips for a scale; nothing chosen is None."""
    return forms.TypedChoiceField(
        label=label,
        choices=[(str(value), text) for value, text in choices],
        coerce=int,
        empty_value=None,
        required=False,
        widget=forms.RadioSelect,
    )


def shown(value: float | None) -> str:
    """A stored number as it is put into a field again."""
    return "" if value is None else f"{value:.10g}"


def ask_about_depth(
    form: LogForm, name: str, quantity: Quantity, *, build: FilterBuild, last_mm: float | None = None
) -> None:
    """A rod stops at the grid. Deeper cannot be saved; as deep as the void, or far from the last time, is asked about once."""
    void, depth = build.void_height_mm, quantity.value
    at_grid = Choice("Rod at the grid", f"≥ {void:g}")
    said, height = recorded_quantity(depth, "mm"), recorded_quantity(void, "mm")
    if depth < 0:
        form.add_error(name, "A depth cannot be less than nothing.")
    elif depth > void:
        tenth = depth / 10
        slip = (Choice(f"Use {recorded_quantity(tenth, 'mm')}", f"{tenth:g}"),) if tenth <= void else ()
        guess = f" Did you mean {recorded_quantity(tenth, 'mm')}?" if slip else ""
        form.ask(name, f"{said} is more than the void, which is {height} high.{guess}", use=(*slip, at_grid))
    elif quantity.qualifier == GRID and depth < void:
        text = f"The grid is {height} above the floor, not {said}. Was the rod at the grid?"
        form.ask(name, text, use=(at_grid, Choice(f"No, {said} as read", f"{depth:g}")))
    elif quantity.qualifier == "" and depth == void:
        text = f"{said} is the whole height of the void. Did the rod stop at the grid?"
        form.ask(name, text, use=(at_grid,), keep=f"No, {said} of sludge", flag="")
    elif quantity.qualifier == "":
        form.look_at(name, "depth_mm", last=last_mm, limit=void)


class SoundingForm(LogForm):
    """`filter` with its builds prefetched: readings are held against the build of their day. `last_mm`: the last sounding's
    depth, while nothing was taken out since."""

    depth_1 = DepthField(LENGTH, label="First", is_keyed=True)
    depth_2 = DepthField(LENGTH, label="Second", is_keyed=True)
    depth_3 = DepthField(LENGTH, label="Third", is_keyed=True)
    pump_off_min = QuantityField(DURATION, label="Pump off before, minutes")
    method = forms.ChoiceField(
        label="With",
        choices=[("rod", "rod"), ("core", "core tube"), ("feel", "by feel")],
        required=False,
        widget=forms.RadioSelect,
    )
    point = forms.CharField(label="Which pipe or place", max_length=40, required=False)
    first_draw = one_of("First draw from the hose", FIRST_DRAW)
    odour = one_of("Smell at the pipe", ODOUR)

    def __init__(self, data: Any = None, *, filter: Filter, last_mm: float | None = None, **kwargs: Any) -> None:
        self.filter, self.last_mm = filter, last_mm
        super().__init__(data, **kwargs)

    def depth_fields(self) -> list[Any]:
        return [self[name] for name in DEPTH_NAMES]

    def clean(self) -> dict[str, Any]:
        moment = self.cleaned_data.get("when")
        build = self.filter.build_on(moment.on) if isinstance(moment, Moment) else None
        given = [name for name in DEPTH_NAMES if self.cleaned_data.get(name) is not None]
        if build is not None:
            for name in given:
                ask_about_depth(self, name, self.cleaned_data[name], build=build, last_mm=self.last_mm)
        if not given and not any(name in self.errors for name in DEPTH_NAMES):
            self.add_error("depth_1", "Enter at least one reading.")
        self.look_at("pump_off_min", "pump_off_min")
        return self.cleaned_data

    def depths(self) -> list[DepthSaid]:
        quantities = [self.cleaned_data.get(name) for name in DEPTH_NAMES]
        return [DepthSaid(q.value, q.qualifier) for q in quantities if isinstance(q, Quantity)]

    @classmethod
    def initial_of(cls, sounding: Sounding) -> dict[str, Any]:
        signs = {">=": "≥ ", "<=": "≤ "}
        initial: dict[str, Any] = {
            name: f"{signs.get(reading.qualifier, '')}{shown(reading.depth_mm)}"
            for name, reading in zip(DEPTH_NAMES, sounding.readings.all(), strict=False)
        }
        return initial | {
            "pump_off_min": shown(sounding.pump_off_min),
            "method": sounding.method,
            "point": sounding.point,
            "first_draw": sounding.first_draw,
            "odour": sounding.odour,
        }


class FlowForm(LogForm):
    """Flow from a bucket and a watch, or in L/h from a meter."""

    litres = QuantityField(VOLUME, label="Bucket")
    seconds = QuantityField(SECONDS, label="Filled in")
    flow_l_per_h = QuantityField(FLOW, label="Flow, if read from a meter")
    head_difference_mm = QuantityField(LENGTH, label="Head difference", may_be_negative=True)
    level_over_media_mm = QuantityField(LENGTH, label="Level, from the painted mark", may_be_negative=True)
    odour = one_of("Smell at the pipe", ODOUR)
    return_water = forms.ChoiceField(
        label="Returning water", choices=RETURN_WATER, required=False, widget=forms.RadioSelect
    )

    BUCKET: ClassVar[dict[str, tuple[float, float, str]]] = {
        "litres": (0.05, 10_000, "L"),
        "seconds": (0.2, 86_400, "s"),
    }
    FIGURES: ClassVar[tuple[str, ...]] = ("flow_l_per_h", "head_difference_mm", "level_over_media_mm")

    def __init__(
        self,
        data: Any = None,
        *,
        filter: Filter,
        last_l_per_h: float | None = None,
        rated_l_per_h: float | None = None,
        **kwargs: Any,
    ) -> None:
        self.filter, self.last_l_per_h, self.rated_l_per_h = filter, last_l_per_h, rated_l_per_h
        super().__init__(data, **kwargs)

    def clean(self) -> dict[str, Any]:
        for name, (low, high, unit) in self.BUCKET.items():
            value = self.number(name)
            if value is not None and not low <= value <= high:
                self.add_error(name, f"From {low:g} to {high:g} {unit}.")
        self._check_bucket()
        for name in ("head_difference_mm", "level_over_media_mm"):
            self.look_at(name, name)
        self._look_at_flow()
        figures = [self.number(name) for name in (*self.FIGURES, "seconds")]
        figures.append(self.cleaned_data.get("odour"))
        is_empty = all(figure is None for figure in figures) and not self.cleaned_data.get("return_water")
        if is_empty and not self.errors:
            raise forms.ValidationError("Enter at least one figure.")
        return self.cleaned_data

    def _check_bucket(self) -> None:
        """The bucket alone says nothing (its size is remembered from the last time); seconds without it neither."""
        if self.number("seconds") is not None and self.number("litres") is None and "litres" not in self.errors:
            self.add_error("litres", "How big is the bucket?")

    def _look_at_flow(self) -> None:
        """A flow far from the last is asked about where it was given: at the meter's figure, or at the watch."""
        name = "flow_l_per_h" if self.number("flow_l_per_h") is not None else "seconds"
        if self.flow is None or self.errors:
            return
        from_bucket = self.flow if name == "seconds" else None
        self.look_at(
            name,
            "flow_l_per_h",
            value=from_bucket,
            last=self.last_l_per_h,
            limit=self.rated_l_per_h,
            can_convert=from_bucket is None,
        )

    @property
    def bucket(self) -> tuple[float | None, float | None]:
        """Litres and seconds, both or neither."""
        litres, seconds = self.number("litres"), self.number("seconds")
        return (litres, seconds) if seconds is not None else (None, None)

    @property
    def flow(self) -> float | None:
        """L/h, from the meter's figure or from bucket and watch."""
        litres, seconds = self.bucket
        if self.number("flow_l_per_h") is not None:
            return self.number("flow_l_per_h")
        return four_figures(litres / seconds * 3600) if litres and seconds else None

    @classmethod
    def initial_of(cls, check: FlowCheck) -> dict[str, Any]:
        from_bucket = check.litres is not None
        return {
            "litres": shown(check.litres),
            "seconds": shown(check.seconds),
            "flow_l_per_h": "" if from_bucket else shown(check.flow_l_per_h),
            "head_difference_mm": shown(check.head_difference_mm),
            "level_over_media_mm": shown(check.level_over_media_mm),
            "odour": check.odour,
            "return_water": check.return_water,
        }


class UpkeepForm(LogForm):
    kind = forms.ChoiceField(
        label="What was done",
        choices=UpkeepKind.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Say what was done."},
    )
    fullness = one_of(
        "How full or clogged it was", [(0, "clean"), (1, "a little"), (2, "half"), (3, "much"), (4, "blocked")]
    )
    minutes = QuantityField(DURATION, label="Took, minutes")
    parts = forms.CharField(label="Parts used", max_length=120, required=False)

    def __init__(self, data: Any = None, *, filter: Filter, **kwargs: Any) -> None:
        self.filter = filter
        super().__init__(data, **kwargs)

    def clean(self) -> dict[str, Any]:
        minutes = self.number("minutes")
        if minutes is not None and not 0 <= minutes <= 10_000:
            self.add_error("minutes", "From 0 to 10 000 minutes.")
        return self.cleaned_data

    @classmethod
    def initial_of(cls, upkeep: Upkeep) -> dict[str, Any]:
        return {
            "kind": upkeep.kind,
            "fullness": upkeep.fullness,
            "minutes": shown(upkeep.minutes),
            "parts": upkeep.parts,
        }
