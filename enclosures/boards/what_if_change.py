"""What stands now, beside the fields of the what-if page, and the change that its fields add up to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from enclosures.boards.drawings import drawn_layer
from enclosures.boards.entry_words import grams
from enclosures.estimates.hydraulics import upflow_m_per_h
from enclosures.estimates.media import MEDIA
from enclosures.estimates.units import quantity, recorded_quantity
from enclosures.evidence import KnownFilter
from enclosures.forecast.history import History
from enclosures.forecast.levers import METABOLIC, animals_here_g, feed_factor, metabolic_g
from enclosures.forecast.what_if import Change
from enclosures.models import Filter, FilterBuild, FoodClass
from enclosures.verdicts.words import count_words, day_words, kept_together, percent_words

YEAR_DAYS = 365


@dataclass(frozen=True, kw_only=True, slots=True)
class Present:
    """The filter as it stands. `alike_g`: the mass of an animal that eats as the mean of those here does; None when none is here."""

    build: FilterBuild
    here_g: tuple[float, ...]
    alike_g: float | None
    flow_l_per_h: float | None
    flow_words: str
    fed_g_per_day: float
    main_food: str

    @property
    def hints(self) -> dict[str, str]:
        """What stands beside each field, so that nobody has to look it up."""
        n = len(self.here_g)
        alike = f"Empty: like those here, about {quantity(self.alike_g, 'g')}." if self.alike_g else ""
        hints = {
            "leave_n": f"{n} here now." if n else "None is on record here now.",
            "leave_g": alike,
            "come_n": "Fed as those here are." if n else "",
            "come_g": alike,
            "ration_percent": f"100 is as now: {quantity(self.fed_g_per_day, 'g')} dry a day over the last year."
            if self.fed_g_per_day
            else "No feed is on record.",
            "food_class": f"The same dry grams. Now mostly {FoodClass(self.main_food).label}."
            if self.main_food
            else "",
            "void_height_mm": f"Now {recorded_quantity(self.build.void_height_mm, 'mm')}.",
            "flow_now_l_per_h": f"Empty: {self.flow_words}." if self.flow_l_per_h else "Never read: measure it first.",
            "flow_then_l_per_h": "Measured at the return, not as rated.",
            "media": f"Now {self.layer_words}." if self.layer_words else "None is on record.",
        }
        return {name: kept_together(text) for name, text in hints.items()}

    @property
    def layer_words(self) -> str:
        said = []
        for layer in self.build.layers.all():
            drawn = drawn_layer(layer)
            grade = f" {drawn.grade_mm[0]:g}–{drawn.grade_mm[1]:g} mm" if drawn.grade_mm else ""
            said.append(f"{drawn.material}{grade}, {layer.depth_mm:g} mm deep")
        return "; ".join(said)


def present_of(filter: Filter, *, known: KnownFilter, history: History, today: date) -> Present | None:
    """None without measures in force. One query for the layers."""
    build = filter.build_on(today)
    if build is None:
        return None
    here = animals_here_g(history)
    flow = next((sign for sign in reversed(known.signs.flows) if sign.flow_l_per_h is not None), None)
    flow_l_per_h = flow.flow_l_per_h if flow is not None else build.baseline_flow_l_per_h
    read = f"as read on {day_words(flow.on, today)}" if flow is not None else "as when clean"
    logged = history.load.logged_kg[-YEAR_DAYS:]
    classes = history.load.sources_kg[-YEAR_DAYS:, : len(history.load.classes)].sum(axis=0)
    return Present(
        build=build,
        here_g=here,
        alike_g=(metabolic_g(here) / len(here)) ** (1 / METABOLIC) if here else None,
        flow_l_per_h=flow_l_per_h or None,
        flow_words=f"{recorded_quantity(flow_l_per_h, 'L/h')}, {read}" if flow_l_per_h else "",
        fed_g_per_day=float(logged.sum() / len(logged) * 1000.0),
        main_food=history.load.classes[int(classes.argmax())] if classes.any() else "",
    )


def change_of(asked: Mapping[str, Any], present: Present) -> Change:
    """The change that cleaned fields add up to. Raises ValueError with a sentence where they cannot be reckoned together."""
    animals = feed_factor(
        present.here_g,
        leave_n=asked.get("leave_n") or 0,
        leave_g=asked.get("leave_g"),
        come_n=asked.get("come_n") or 0,
        come_g=asked.get("come_g"),
    )
    ration = asked.get("ration_percent")
    upflow = None
    if (then := asked.get("flow_then_l_per_h")) is not None:
        flow = asked.get("flow_now_l_per_h") or present.flow_l_per_h
        if flow is None:
            raise ValueError("Say what the pump gives now: no flow was ever read here.")
        area = present.build.chamber_area_m2
        upflow = (upflow_m_per_h(flow_l_per_h=flow, area_m2=area), upflow_m_per_h(flow_l_per_h=then, area_m2=area))
    return Change(
        on=asked.get("from_on"),
        feed_factor=animals * (1.0 if ration is None else ration / 100.0),
        food_class=asked.get("food_class") or None,
        void_height_mm=asked.get("void_height_mm"),
        upflow_m_per_h=upflow,
        is_cleaned=asked.get("empty_on") is not None,
        cleaned_on=asked.get("empty_on"),
    )


def asked_words(asked: Mapping[str, Any], change: Change, present: Present, *, today: date) -> tuple[str, ...]:
    """What is tried out, said back: 'two of the four animals leave', 'half the ration' and what that makes of the feed."""
    said = []
    if n := asked.get("leave_n"):
        size = f" of about {grams(asked['leave_g'])}" if asked.get("leave_g") else ""
        said.append(
            f"{count_words(n)} of the {count_words(len(present.here_g))} animals{size} leave{'s' if n == 1 else ''}"
        )
    if n := asked.get("come_n"):
        size = grams(asked["come_g"]) if asked.get("come_g") else quantity(present.alike_g or 0.0, "g")
        said.append(f"{count_words(n)} more come{'s' if n == 1 else ''}, about {size} each")
    if asked.get("ration_percent") is not None:
        said.append(f"the ration is {percent_words(asked['ration_percent'] / 100)} of now")
    if abs(change.feed_factor - 1) > 0.005 and (asked.get("leave_n") or asked.get("come_n")):
        said.append(f"so the feed is {percent_words(change.feed_factor)} of now")
    if change.food_class:
        said.append(f"all food is {FoodClass(change.food_class).label}")
    if change.void_height_mm is not None:
        said.append(f"the void is {recorded_quantity(change.void_height_mm, 'mm')} high")
    if change.upflow_m_per_h is not None:
        said.append(f"the pump gives {recorded_quantity(asked['flow_then_l_per_h'], 'L/h')}")
    if asked.get("media"):
        said.append(f"the bed is {_lowered(MEDIA[asked['media']].name)}")
    if said and change.on is not None and change.on > today:
        said.append(f"from {day_words(change.on, today)} on")
    if change.is_cleaned:
        on = change.cleaned_on or today
        said.append("it is emptied today" if on <= today else f"it is emptied on {day_words(on, today)}")
    return tuple(kept_together(text) for text in said)


def _lowered(name: str) -> str:
    return name[:1].lower() + name[1:].replace("-", "–")
