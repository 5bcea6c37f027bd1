"""What a tried change moves besides the void: the rise through the chamber, what the void holds, the bed's surface and the load on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np

from enclosures.boards.bed_load import GROWING_DAYS, JUDGED_AT_TAN_MG_L, bed_ability_g, share_words, surface_m2_m3
from enclosures.boards.what_if_change import Present
from enclosures.estimates.coefficients import default
from enclosures.estimates.hydraulics import turnover_per_h
from enclosures.estimates.media import MEDIA, layer_volume_m3
from enclosures.estimates.nitrification import areal_rate_monod, bed_ability_g_per_day, load_share
from enclosures.estimates.nitrogen import tan_g_per_day
from enclosures.estimates.units import quantity, recorded_quantity, rounded_for_people
from enclosures.forecast.history import History
from enclosures.forecast.inputs import FilterEvidence
from enclosures.forecast.what_if import Change
from enclosures.verdicts.words import day_words, kept_together

WINDOW_DAYS = 28
YEAR_DAYS = 365
MEDIA_SAID = (
    "Other media do not move the void’s dates: what falls is caught below the bed. They change the bed’s surface, and with it what "
    "the bed can take."
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Moved:
    """One thing that moves, now and then."""

    term: str
    now: str
    then: str
    remark: str = ""


def besides(
    asked: Mapping[str, Any], change: Change, present: Present, *, history: History, water_volume_l: float
) -> tuple[Moved, ...]:
    """Only what the change touches."""
    found = [
        *_void(change, present),
        *_rise(asked, change, present, water_volume_l),
        *_bed(asked, change, present, history),
    ]
    return tuple(
        Moved(term=row.term, now=kept_together(row.now), then=kept_together(row.then), remark=kept_together(row.remark))
        for row in found
    )


def _void(change: Change, present: Present) -> list[Moved]:
    if change.void_height_mm is None:
        return []
    litres = present.build.usable_void_l
    then = litres * change.void_height_mm / present.build.void_height_mm
    now, other = (recorded_quantity(round(each, 1 if each < 100 else 0), "L") for each in (litres, then))
    return [Moved(term="The void holds", now=now, then=other)]


def _rise(asked: Mapping[str, Any], change: Change, present: Present, water_volume_l: float) -> list[Moved]:
    if change.upflow_m_per_h is None:
        return []
    before, after = change.upflow_m_per_h
    flows = [asked.get("flow_now_l_per_h") or present.flow_l_per_h or 0.0, asked["flow_then_l_per_h"]]
    turns = [rounded_for_people(turnover_per_h(flow_l_per_h=f, water_volume_l=water_volume_l)) for f in flows]
    return [
        Moved(
            term="Rise through the chamber",
            now=quantity(before, "m/h"),
            then=quantity(after, "m/h"),
            remark="good is 2–7; the faster it rises, the more is carried into the bed instead of falling",
        ),
        Moved(term="Turnover", now=f"{turns[0]} an hour", then=f"{turns[1]} an hour"),
    ]


def _bed(asked: Mapping[str, Any], change: Change, present: Present, history: History) -> list[Moved]:
    key = asked.get("media")
    if not key and abs(change.feed_factor - 1) < 0.005:
        return []
    found = []
    layers = list(present.build.layers.all())
    volumes = [layer_volume_m3(area_m2=present.build.chamber_area_m2, depth_mm=layer.depth_mm) for layer in layers]
    surfaces = [surface_m2_m3(layer) for layer in layers]
    if key and layers:
        then_m2 = sum(volumes) * MEDIA[key].surface_m2_m3
        known = None not in surfaces
        now_m2 = sum(v * (s or 0.0) for v, s in zip(volumes, surfaces, strict=True))
        found.append(
            Moved(
                term="Surface of the bed",
                now=f"about {quantity(now_m2, 'm²')}" if known else "not known",
                then=f"about {quantity(then_m2, 'm²')}",
                remark="the same depth of it; the outer surface alone",
            )
        )
    window = _busiest(history.evidence, history.as_of)
    if window is None or not layers:
        return found
    last_on, protein_g = window
    temp_c, said_on = _water_c(history, last_on), day_words(last_on, history.as_of)
    load_g = tan_g_per_day(protein_g, k=_nitrogen_k(history.evidence, history.as_of))
    now_g = bed_ability_g((present.build,), temp_c=temp_c)
    then_g = _ability_of(key, sum(volumes), temp_c) if key else now_g
    found.append(
        Moved(
            term="Load on the bed",
            now=_load_words(load_g, now_g),
            then=_load_words(load_g * change.feed_factor, then_g),
            remark=f"in the busiest four weeks of the last year, to {said_on}; fish values, within a factor of three",
        )
    )
    return found


def _ability_of(key: str, media_m3: float, temp_c: float) -> float:
    return bed_ability_g_per_day(
        media_m3=media_m3,
        specific_surface_m2_m3=MEDIA[key].surface_m2_m3,
        areal_rate=areal_rate_monod(JUDGED_AT_TAN_MG_L),
        temp_c=temp_c,
    )


def _load_words(load_g: float, ability_g: float | None) -> str:
    if not load_g:
        return "none"
    if not ability_g:
        return "not known"
    return share_words(load_share(load_g_per_day=load_g, ability_g_per_day=ability_g))


def _busiest(evidence: FilterEvidence, as_of: date) -> tuple[date, float] | None:
    """Last day of the four weeks with most protein in the last year, and its grams a day; None without any."""
    first = as_of - timedelta(days=YEAR_DAYS - 1)
    protein = np.zeros(YEAR_DAYS)
    for portion in evidence.feedings:
        if first <= portion.on <= as_of:
            protein[(portion.on - first).days] += portion.protein_g * evidence.feed_share
    sums = np.convolve(protein, np.ones(WINDOW_DAYS))[:YEAR_DAYS]
    last = int(sums.argmax())
    return (first + timedelta(days=last), float(sums[last]) / WINDOW_DAYS) if sums[last] > 0 else None


def _water_c(history: History, last_on: date) -> float:
    at = (last_on - history.start).days
    return float(history.load.temp_c[max(at - WINDOW_DAYS + 1, 0) : at + 1].mean()) if at >= 0 else 20.0


def _nitrogen_k(evidence: FilterEvidence, as_of: date) -> float:
    """As on the enclosure's page: while more than half of those here are young they keep a part of what they eat."""
    here = [stay for stay in evidence.stays if stay.to_on is None or stay.to_on > as_of]
    young = [stay for stay in here if stay.hatched_on is not None and (as_of - stay.hatched_on).days < GROWING_DAYS]
    return default("k_tan_growing") if here and len(young) * 2 > len(here) else default("k_tan_adult")
