"""A cleanout in two halves, before and after, so that a storm in the middle loses nothing."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, ClassVar

from django import forms

from enclosures.forms.fields import DepthField, QuantityField
from enclosures.forms.log_form import LogForm
from enclosures.forms.sludge import GRID, ask_about_depth, one_of, shown
from enclosures.forms.typed import DURATION, FLOW, LENGTH, VOLUME, Quantity
from enclosures.models import FIRST_DRAW, ODOUR, Cleanout, CleanoutOutcome, Filter, FilterBuild, Moment
from enclosures.verdicts.sanity import depth_after_finding

CAUSES = ("forecast", "sounding", "flow", "smell", "seasonal", "other")
COLOURS = ("grey", "brown", "dark brown", "black")
CONSISTENCIES = ("watery", "silky", "gritty", "stringy", "lumps")
PLACES = ("garden bed", "compost", "hauled away", "drain, permitted", "still in drums")
BEFORE, AFTER = ("before_1", "before_2", "before_3"), ("after_1", "after_2", "after_3")
YES_NO = [("yes", "yes"), ("no", "no")]


def chips(label: str, texts: tuple[str, ...]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label, choices=[(text, text) for text in texts], required=False, widget=forms.RadioSelect
    )


class CleanoutForm(LogForm):
    """`first_half`: the cleanout that was begun and is now finished. Without it, `finished` says whether both halves are here."""

    finished = forms.ChoiceField(
        label="Save now",
        choices=[("no", "The first half: work goes on"), ("yes", "Both halves: it is done")],
        initial="no",
        required=False,
        widget=forms.RadioSelect,
    )
    # before
    safety_ticked = forms.BooleanField(
        label="Unplugged, dry footing, gloves on, nobody alone at deep water", required=False
    )
    cause = chips("Why now", CAUSES)
    people = forms.CharField(label="Who", max_length=80, required=False)
    before_1 = DepthField(LENGTH, label="First")
    before_2 = DepthField(LENGTH, label="Second")
    before_3 = DepthField(LENGTH, label="Third")
    flow_before_l_per_h = QuantityField(FLOW, label="Flow before")
    head_before_mm = QuantityField(LENGTH, label="Head difference before", may_be_negative=True)
    # after
    outcome = forms.ChoiceField(
        label="How far", choices=CleanoutOutcome.choices, required=False, widget=forms.RadioSelect
    )
    after_1 = DepthField(LENGTH, label="First")
    after_2 = DepthField(LENGTH, label="Second")
    after_3 = DepthField(LENGTH, label="Third")
    slurry_l = QuantityField(VOLUME, label="Slurry out")
    slurry_known_by = forms.ChoiceField(
        label="Known by",
        choices=[("drums", "drums counted"), ("meter", "meter"), ("guess", "guess")],
        required=False,
        widget=forms.RadioSelect,
    )
    first_draw = one_of("First draw", FIRST_DRAW)
    odour = one_of("Smell", ODOUR)
    colour = chips("Colour", COLOURS)
    consistency = chips("Consistency", CONSISTENCIES)
    flow_after_l_per_h = QuantityField(FLOW, label="Flow after")
    head_after_mm = QuantityField(LENGTH, label="Head difference after", may_be_negative=True)
    minutes = QuantityField(DURATION, label="Took, minutes")
    pump_off_min = QuantityField(DURATION, label="Pump off, minutes")
    water_replaced_l = QuantityField(VOLUME, label="Water replaced")
    media_disturbed = forms.ChoiceField(
        label="Was the media disturbed?", choices=YES_NO, required=False, widget=forms.RadioSelect
    )
    sludge_to = chips("Where the sludge went", PLACES)
    sludge_elsewhere = forms.CharField(label="Elsewhere", max_length=80, required=False)
    found = forms.CharField(label="Found in it", max_length=200, required=False)

    # field -> what it is in verdicts/quantities.py
    FIGURES: ClassVar[dict[str, str]] = {
        "flow_before_l_per_h": "flow_l_per_h",
        "flow_after_l_per_h": "flow_l_per_h",
        "head_before_mm": "head_difference_mm",
        "head_after_mm": "head_difference_mm",
        "slurry_l": "slurry_l",
        "pump_off_min": "pump_off_min",
        "water_replaced_l": "water_change_l",
    }

    def __init__(
        self,
        data: Any = None,
        *,
        filter: Filter,
        first_half: Cleanout | None = None,
        is_correction: bool = False,
        **kwargs: Any,
    ) -> None:
        self.filter, self.first_half, self.is_correction = filter, first_half, is_correction
        super().__init__(data, **kwargs)

    @property
    def is_finishing(self) -> bool:
        if self.first_half is not None:
            return True
        return self.cleaned_data.get("finished") == "yes"

    def before_fields(self) -> list[Any]:
        return [self[name] for name in BEFORE]

    def after_fields(self) -> list[Any]:
        return [self[name] for name in AFTER]

    # Cleaning ----------------------------------------------------------------------------------------------------------

    def clean(self) -> dict[str, Any]:
        moment = self.cleaned_data.get("when")
        build = self.filter.build_on(moment.on) if isinstance(moment, Moment) else None
        if build is not None:
            self._check_depths(build)
        self._check_figures(build)
        self._check_first_half()
        if self.is_finishing:
            self._check_second_half()
        return self.cleaned_data

    def _check_figures(self, build: FilterBuild | None) -> None:
        for name, key in self.FIGURES.items():
            self.look_at(name, key, last=self._sludge_l(build) if name == "slurry_l" else None)
        minutes = self.number("minutes")
        if minutes is not None and not 0 <= minutes <= 10_000:
            self.add_error("minutes", "From 0 to 10 000 minutes.")

    def _sludge_l(self, build: FilterBuild | None) -> float | None:
        """What the rod says was taken out, L: the depth before, less the depth after, over the usable area."""
        if build is None or self.depth_before_mm is None:
            return None
        gone_mm = self.depth_before_mm - (self.depth_after_mm or 0)
        litres = round(gone_mm * build.chamber_area_m2 * build.usable_fraction, 1)
        return litres if litres > 0 else None

    def _check_depths(self, build: FilterBuild) -> None:
        for name in (*BEFORE, *AFTER):
            quantity = self.cleaned_data.get(name)
            if isinstance(quantity, Quantity):
                ask_about_depth(self, name, quantity, build=build)
        before, after = self.depth_before_mm, self.depth_after_mm
        if after is not None:
            finding = depth_after_finding(before_mm=before, after_mm=after)
            if finding.kind == "refuse":
                self.add_error("after_1", finding.sentence)

    def _check_first_half(self) -> None:
        if not self.cleaned_data.get("cause"):
            self.add_error("cause", "Say why now.")
        is_on_the_spot = self.cleaned_data.get("recall") in ("", "form") and not self.is_correction
        if is_on_the_spot and not self.cleaned_data.get("safety_ticked"):
            self.add_error("safety_ticked", "Look at the cautions above, then tick this.")

    def _check_second_half(self) -> None:
        outcome = self.cleaned_data.get("outcome")
        if not outcome:
            self.add_error("outcome", "Say how far it went.")
        if self.is_correction:
            return
        if not self.cleaned_data.get("media_disturbed"):
            self.add_error("media_disturbed", "Say whether the media was disturbed: a disturbed bed is young again.")
        if outcome in ("full", "part") and not self.sludge_went:
            self.add_error("sludge_to", "Say where the sludge went.")

    # Values ------------------------------------------------------------------------------------------------------------

    def _mean(self, names: tuple[str, ...]) -> tuple[float | None, str]:
        given = [q for name in names if isinstance(q := self.cleaned_data.get(name), Quantity)]
        if not given:
            return None, ""
        at_grid = [q.value for q in given if q.qualifier == GRID]
        if at_grid:
            return max(at_grid), GRID
        below = all(q.qualifier == "<=" for q in given)
        mean = sum(q.value for q in given) / len(given)
        return round(mean, 1), "<=" if below else ""

    @property
    def depth_before_mm(self) -> float | None:
        return self._mean(BEFORE)[0]

    @property
    def depth_after_mm(self) -> float | None:
        return self._mean(AFTER)[0]

    @property
    def sludge_went(self) -> str:
        return self.cleaned_data.get("sludge_elsewhere", "").strip() or self.cleaned_data.get("sludge_to", "")

    def first_values(self) -> dict[str, Any]:
        """Fields of the first half, by their names in models.Cleanout."""
        depth, qualifier = self._mean(BEFORE)
        return {
            "cause": self.cleaned_data["cause"],
            "people": self.cleaned_data["people"].strip(),
            "depth_before_mm": depth,
            "depth_before_qualifier": qualifier,
            "flow_before_l_per_h": self.number("flow_before_l_per_h"),
            "head_before_mm": self.number("head_before_mm"),
            "safety_ticked": self.cleaned_data["safety_ticked"],
        }

    def second_values(self) -> dict[str, Any]:
        """Fields of the second half."""
        numbers = ("slurry_l", "minutes", "pump_off_min", "flow_after_l_per_h", "head_after_mm", "water_replaced_l")
        disturbed = self.cleaned_data["media_disturbed"]
        return {
            "outcome": self.cleaned_data["outcome"],
            "depth_after_mm": self.depth_after_mm,
            **{name: self.number(name) for name in numbers},
            "slurry_known_by": self.cleaned_data["slurry_known_by"] if self.number("slurry_l") is not None else "",
            "first_draw": self.cleaned_data["first_draw"],
            "odour": self.cleaned_data["odour"],
            "colour": self.cleaned_data["colour"],
            "consistency": self.cleaned_data["consistency"],
            "media_disturbed": None if not disturbed else disturbed == "yes",
            "sludge_to": self.sludge_went,
            "found": self.cleaned_data["found"].strip(),
        }

    def _remarks(self, about: Collection[str] | None = None) -> list[str]:
        """Three readings are kept as their mean; each is told in the note."""
        told = []
        for words, names in (("Depths before", BEFORE), ("Depths after", AFTER)):
            said = [self._said(name) for name in names if self.cleaned_data.get(name) is not None]
            if len(said) > 1:
                told.append(f"{words}: {', '.join(said)} mm.")
        return [*told, *super()._remarks(about)]

    @classmethod
    def initial_of(cls, cleanout: Cleanout) -> dict[str, Any]:
        sign = {">=": "≥ ", "<=": "≤ "}.get(cleanout.depth_before_qualifier, "")
        before = "" if cleanout.depth_before_mm is None else f"{sign}{shown(cleanout.depth_before_mm)}"
        disturbed = {True: "yes", False: "no", None: ""}[cleanout.media_disturbed]
        numbers = {name: shown(getattr(cleanout, name)) for name in (*cls.FIGURES, "minutes")}
        texts = ("cause", "people", "slurry_known_by", "colour", "consistency", "found")
        in_list = cleanout.sludge_to in PLACES
        return {
            **numbers,
            **{name: getattr(cleanout, name) for name in texts},
            "finished": "no" if cleanout.stage == "before" else "yes",
            "safety_ticked": cleanout.safety_ticked,
            "before_1": before,
            "outcome": cleanout.outcome if cleanout.stage == "done" else "",
            "after_1": shown(cleanout.depth_after_mm),
            "first_draw": cleanout.first_draw,
            "odour": cleanout.odour,
            "media_disturbed": disturbed,
            "sludge_to": cleanout.sludge_to if in_list else "",
            "sludge_elsewhere": "" if in_list else cleanout.sludge_to,
        }
