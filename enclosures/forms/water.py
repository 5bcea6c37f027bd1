"""Water: test readings with their kit and basis, and water changes. What a figure is expressed as is never guessed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

from enclosures.estimates.checks import BadQuantity
from enclosures.estimates.units import BASES_OF_ANALYTE, CACO3_PER_DKH, ion_mg_l, nitrogen_mg_l, recorded_quantity
from enclosures.forms.fields import QualifiedReadingField, QuantityField
from enclosures.forms.log_form import LogForm
from enclosures.forms.typed import CONCENTRATION, PLAIN, TEMPERATURE, TEMPERATURE_STEP, VOLUME, Quantity, UnitSet
from enclosures.models import Enclosure, Place, TestKit, WaterChange, WaterTest

KIT, BASIS, NOT_KNOWN = "kit:", "as:", "as:?"
SHOWN_BASIS = {"N": "N", "NH3": "NH₃", "NH4": "NH₄", "NO2": "NO₂", "NO3": "NO₃", "CaCO3": "CaCO₃", "dKH": "dKH"}


@dataclass(frozen=True, slots=True)
class AnalyteShape:
    """How one analyte is asked for. `bases`: what a figure without a kit may be expressed as."""

    analyte: str
    label: str
    unit: str
    shown_unit: str
    units: UnitSet
    key: str  # in verdicts/quantities.py, in the canonical unit
    bases: tuple[str, ...] = ()

    @property
    def needs_basis(self) -> bool:
        return bool(self.bases)


SHAPES: tuple[AnalyteShape, ...] = (
    AnalyteShape("temperature", "Water temperature", "degC", "°C", TEMPERATURE, "water_temp_c"),
    AnalyteShape("ph", "pH", "pH", "", PLAIN, "ph"),
    AnalyteShape("tan", "Ammonia (TAN)", "mg/L", "mg/L", CONCENTRATION, "tan_mg_l_as_n", BASES_OF_ANALYTE["tan"]),
    AnalyteShape("nitrite", "Nitrite", "mg/L", "mg/L", CONCENTRATION, "nitrite_mg_l_as_n", BASES_OF_ANALYTE["nitrite"]),
    AnalyteShape(
        "nitrate", "Nitrate", "mg/L", "mg/L", CONCENTRATION, "nitrate_mg_l_as_no3", BASES_OF_ANALYTE["nitrate"]
    ),
    AnalyteShape("kh", "Carbonate hardness (KH)", "mg/L", "", CONCENTRATION, "kh_mg_l_caco3", ("CaCO3", "dKH")),
    AnalyteShape("do", "Oxygen (DO)", "mg/L", "mg/L", CONCENTRATION, "do_mg_l"),
    AnalyteShape("chlorine", "Chlorine", "mg/L", "mg/L", CONCENTRATION, "chlorine_mg_l"),
    AnalyteShape("salinity", "Salinity", "g/L", "g/L", UnitSet("g/L"), "salinity_g_l"),
)
USUAL = ("temperature", "ph", "tan", "nitrite", "nitrate", "kh", "do")


@dataclass(frozen=True, slots=True)
class ReadingSaid:
    """One reading as read: the raw figure, its unit, and where it came from."""

    analyte: str
    value: float
    unit: str
    qualifier: str
    expressed_as: str
    kit: str


@dataclass(frozen=True, slots=True)
class StepSet:
    """The colour steps of one kit, as radio values; shown while that kit is chosen."""

    kit: TestKit
    source: str
    steps: tuple[tuple[str, str], ...]  # value, words


@dataclass(frozen=True, slots=True)
class AnalyteRow:
    """One analyte on the form, for the template."""

    shape: AnalyteShape
    value: Any
    step: Any
    source: Any
    step_sets: tuple[StepSet, ...]
    last: str

    @property
    def is_asked(self) -> bool:
        """Whether it matters what it was read with: a basis to know, or a kit with steps to tap."""
        return self.shape.needs_basis or len(self.source.field.choices) > 1

    @property
    def must_choose(self) -> bool:
        is_open = self.shape.needs_basis and not self.source.value() and not self.source.form.must_say_why
        return bool(self.source.errors) or is_open

    @property
    def source_words(self) -> str:
        value = str(self.source.value() or "")
        words = str(dict(self.source.field.choices).get(value, ""))
        return f"another kit, as {words}" if words and value.startswith(BASIS) and self.shape.needs_basis else words

    @property
    def kits(self) -> list[Any]:
        return [choice for choice in self.source if str(choice.data["value"]).startswith(KIT)]

    @property
    def others(self) -> list[Any]:
        return [choice for choice in self.source if not str(choice.data["value"]).startswith(KIT)]


def canonical_value(said: ReadingSaid) -> float | None:
    """The figure in its analyte's own unit and basis; None when that is not known or it cannot be."""
    try:
        if said.analyte in ("tan", "nitrite"):
            return nitrogen_mg_l(said.value, said.expressed_as, analyte=said.analyte)
        if said.analyte == "nitrate":
            return ion_mg_l(nitrogen_mg_l(said.value, said.expressed_as, analyte="nitrate"), "NO3")
    except BadQuantity:
        return None
    if said.analyte == "kh":
        if said.unit == "dKH":
            return said.value * CACO3_PER_DKH
        return said.value if said.expressed_as == "CaCO3" else None
    return said.value


def kit_words(kit: TestKit) -> str:
    basis = SHOWN_BASIS.get(kit.reports_as, kit.reports_as)
    if kit.unit == "dKH":
        return f"{kit}, in dKH"
    return f"{kit}, as {basis}" if basis else str(kit)


def steps_of(kit: TestKit) -> tuple[tuple[str, str], ...]:
    """The kit's steps, with "under the first" and "over the last" where it has limits."""
    steps = [f"{float(step):g}" for step in kit.steps]
    if not steps:
        return ()
    last = f"{kit.upper:g}" if kit.upper is not None else steps[-1]
    below = [(f"< {kit.lower:g}", f"< {kit.lower:g}")] if kit.lower else []
    return (*below, *((step, step) for step in steps), (f"> {last}", f"> {last}"))


class WaterTestForm(LogForm):
    """`kits` in use; `sources` what was chosen before today, by analyte; `lasts` the last reading of each, in words."""

    place = forms.ChoiceField(
        label="Where", choices=Place.choices, initial=Place.TANK, required=False, widget=forms.RadioSelect
    )

    def __init__(
        self,
        data: Any = None,
        *,
        enclosure: Enclosure,
        kits: Sequence[TestKit],
        sources: Mapping[str, str] | None = None,
        lasts: Mapping[str, str] | None = None,
        last_temp_c: float | None = None,
        **kwargs: Any,
    ) -> None:
        self.enclosure, self.kits, self.lasts, self.last_temp_c = enclosure, kits, lasts or {}, last_temp_c
        super().__init__(data, **kwargs)
        for shape in SHAPES:
            self._add_analyte(shape, initial_source=(sources or {}).get(shape.analyte, ""))

    def _add_analyte(self, shape: AnalyteShape, *, initial_source: str) -> None:
        kits = [kit for kit in self.kits if kit.analyte == shape.analyte]
        choices = [(f"{KIT}{kit.code}", kit_words(kit)) for kit in kits]
        choices += [(f"{BASIS}{basis}", SHOWN_BASIS[basis]) for basis in shape.bases]
        if shape.needs_basis:
            choices.append((NOT_KNOWN, "not known"))
        else:
            choices.append((BASIS, "meter or strip"))
        known = {value for value, _ in choices}
        name = shape.analyte
        self.fields[f"value_{name}"] = QualifiedReadingField(
            shape.units, label=shape.label, may_be_negative=shape.analyte == "temperature"
        )
        self.fields[f"step_{name}"] = forms.CharField(
            label=f"{shape.label}, colour step", required=False, max_length=20
        )
        self.fields[f"source_{name}"] = forms.ChoiceField(
            label=f"{shape.label}, read with",
            choices=choices,
            required=False,
            initial=initial_source if initial_source in known else "",
            widget=forms.RadioSelect,
        )

    # For the template --------------------------------------------------------------------------------------------------

    def rows(self) -> Iterator[AnalyteRow]:
        for shape in SHAPES:
            name = shape.analyte
            kits = [kit for kit in self.kits if kit.analyte == name and kit.steps]
            yield AnalyteRow(
                shape=shape,
                value=self[f"value_{name}"],
                step=self[f"step_{name}"],
                source=self[f"source_{name}"],
                step_sets=tuple(StepSet(kit, f"{KIT}{kit.code}", steps_of(kit)) for kit in kits),
                last=self.lasts.get(name, ""),
            )

    def usual_rows(self) -> list[AnalyteRow]:
        return [row for row in self.rows() if row.shape.analyte in USUAL]

    def other_rows(self) -> list[AnalyteRow]:
        return [row for row in self.rows() if row.shape.analyte not in USUAL]

    # Cleaning ----------------------------------------------------------------------------------------------------------

    def clean(self) -> dict[str, Any]:
        for shape in SHAPES:
            self._join_step(shape)
            if self.cleaned_data.get(f"value_{shape.analyte}") is not None:
                self._check(shape)
        if not self.errors and not self.readings():
            raise forms.ValidationError("Fill in at least one reading.")
        return self.cleaned_data

    def _join_step(self, shape: AnalyteShape) -> None:
        """A tapped step is the reading; a step and another figure typed beside it need sorting out."""
        name, step = f"value_{shape.analyte}", self.cleaned_data.get(f"step_{shape.analyte}", "")
        if not step or name in self.errors:
            return
        try:
            tapped = self.fields[name].clean(step)
        except forms.ValidationError:
            self.add_error(name, f"“{step}” is not a step of this kit.")
            return
        typed = self.cleaned_data.get(name)
        if typed is None:
            self.cleaned_data[name] = tapped
        elif (typed.value, typed.qualifier) != (tapped.value, tapped.qualifier):
            self.add_error(name, f"The step says {step} and the field says {self._said(name)}. Keep one.")

    def _check(self, shape: AnalyteShape) -> None:
        source = self.cleaned_data.get(f"source_{shape.analyte}", "")
        if shape.needs_basis and not source:
            self.add_error(f"source_{shape.analyte}", "Say which kit, or what the figure is expressed as.")
            return
        said = self._reading(shape)
        canonical = canonical_value(said) if said is not None else None
        if canonical is None:  # no basis: nothing it could be held against, except that it cannot be less than nothing
            if said is not None and said.value < 0:
                self.add_error(f"value_{shape.analyte}", "A reading cannot be less than nothing.")
            return
        is_as_typed = said is not None and canonical == said.value
        last = self.last_temp_c if shape.analyte == "temperature" else None
        self.look_at(f"value_{shape.analyte}", shape.key, value=canonical, last=last, can_convert=is_as_typed)

    def readings(self) -> list[ReadingSaid]:
        return [said for shape in SHAPES if (said := self._reading(shape)) is not None]

    def _reading(self, shape: AnalyteShape) -> ReadingSaid | None:
        quantity = self.cleaned_data.get(f"value_{shape.analyte}")
        if not isinstance(quantity, Quantity):
            return None
        source = self.cleaned_data.get(f"source_{shape.analyte}", "")
        kit = next((kit for kit in self.kits if source == f"{KIT}{kit.code}"), None)
        basis = source.removeprefix(BASIS) if source.startswith(BASIS) and source != NOT_KNOWN else ""
        unit = kit.unit if kit is not None and shape.needs_basis else shape.unit
        if basis == "dKH":
            unit = "dKH"
        return ReadingSaid(
            analyte=shape.analyte,
            value=quantity.value,
            unit=unit,
            qualifier=quantity.qualifier,
            expressed_as=kit.reports_as if kit is not None else basis,
            kit=kit.code if kit is not None else "",
        )

    def chosen_sources(self) -> dict[str, str]:
        """What was chosen for each analyte read, to be offered again today."""
        return {
            shape.analyte: self.cleaned_data[f"source_{shape.analyte}"]
            for shape in SHAPES
            if self.cleaned_data.get(f"value_{shape.analyte}") and self.cleaned_data.get(f"source_{shape.analyte}")
        }

    @classmethod
    def initial_of(cls, test: WaterTest) -> dict[str, Any]:
        initial: dict[str, Any] = {"place": test.place}
        for reading in test.readings.all():
            initial[f"value_{reading.analyte}"] = f"{reading.qualifier} {_as_typed(reading)}".strip()
            if reading.kit:
                initial[f"source_{reading.analyte}"] = f"{KIT}{reading.kit}"
            elif reading.analyte in BASES_OF_ANALYTE or reading.analyte == "kh":
                basis = reading.expressed_as or ("dKH" if reading.unit == "dKH" else "")
                initial[f"source_{reading.analyte}"] = f"{BASIS}{basis}" if basis else NOT_KNOWN
        return initial


def _as_typed(reading: Any) -> str:
    shape = next(shape for shape in SHAPES if shape.analyte == reading.analyte)
    own = shape.unit in ("", reading.unit) or reading.unit in ("pH", "dKH", shape.unit)
    return f"{reading.value:g}" if own else f"{reading.value:g} {reading.unit}"


class WaterChangeForm(LogForm):
    volume_l = QuantityField(
        VOLUME, label="Water changed", required=True, error_messages={"required": "How much water?"}
    )
    source = forms.CharField(label="New water from", max_length=40, required=False)
    conditioner = forms.CharField(label="Conditioner", max_length=40, required=False)
    temp_difference_c = QuantityField(
        TEMPERATURE_STEP, label="New water warmer (+) or colder (−) by", may_be_negative=True
    )
    cause = forms.ChoiceField(
        label="Why",
        choices=[(text, text) for text in ("routine", "after a test", "after a cleanout", "top-up", "leak", "other")],
        required=False,
        widget=forms.RadioSelect,
    )

    def __init__(self, data: Any = None, *, enclosure: Enclosure, last_l: float | None = None, **kwargs: Any) -> None:
        self.enclosure, self.last_l = enclosure, last_l
        super().__init__(data, **kwargs)

    def shares(self) -> list[tuple[str, str]]:
        """Common shares of this water: words for the chip, litres for the field."""
        return [(f"{share} %", f"{self.enclosure.water_volume_l * share / 100:.3g}") for share in (10, 20, 30, 50)]

    def clean(self) -> dict[str, Any]:
        volume_l, holds = self.number("volume_l"), self.enclosure.water_volume_l
        if volume_l is not None and volume_l <= 0:
            self.add_error("volume_l", "More than nothing, please.")
        elif volume_l is not None and volume_l > 3 * holds:
            said, there = recorded_quantity(volume_l, "L"), recorded_quantity(holds, "L")
            self.add_error("volume_l", f"{said} is more than three times the water in {self.enclosure.code} ({there}).")
        self.look_at("volume_l", "water_change_l", last=self.last_l)
        self.look_at("temp_difference_c", "temp_difference_c")
        return self.cleaned_data

    @classmethod
    def initial_of(cls, change: WaterChange) -> dict[str, Any]:
        return {
            "volume_l": f"{change.volume_l:g}",
            "source": change.source,
            "conditioner": change.conditioner,
            "temp_difference_c": "" if change.temp_difference_c is None else f"{change.temp_difference_c:g}",
            "cause": change.cause,
        }
