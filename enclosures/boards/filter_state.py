"""One filter as it stands: the drawing, the answer in words, and the facts the answer rests on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from enclosures.boards.drawings import drawing_of
from enclosures.boards.explained import Explanation, explanation_of
from enclosures.boards.stored_outlook import (
    OutlookWords,
    due_fill_of,
    fill_of,
    has_doubtful_meals,
    outlook_from,
    outlook_words,
    stored_outlook,
)
from enclosures.estimates.hydraulics import turnover_per_h, upflow_m_per_h
from enclosures.estimates.units import as_recorded, quantity, recorded_quantity, rounded_for_people
from enclosures.evidence.filters import KnownFilter
from enclosures.figures.section import section_svg
from enclosures.models import Cleanout, Enclosure, Filter, FilterBuild, FilterOutlook
from enclosures.verdicts.coping import CopingVerdict, coping_of
from enclosures.verdicts.diagnosis import Diagnosis, diagnosed
from enclosures.verdicts.signs import FLOW_LOOK, HEAD_LOOK, FlowSign
from enclosures.verdicts.words import (
    MONTHS,
    Verdict,
    ago_words,
    count_words,
    day_words,
    due_words,
    kept_together,
    percent_words,
    times_words,
)

HORIZON_DAYS = 1095  # how far a forecast looks
SAYS_FULL_WITHIN_DAYS = 400


@dataclass(frozen=True, kw_only=True, slots=True)
class Fact:
    term: str
    value: str
    remark: str = ""
    verdict: Verdict | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class FilterState:
    """`drawing_wide` and `drawing_narrow` are the same section, redrawn for its place; empty without measures."""

    code: str
    words: OutlookWords
    lead: str
    season: str
    next_reading: str
    notes: tuple[str, ...]
    has_doubtful_meals: bool
    explained: Explanation | None
    ahead: tuple[str, ...]  # what is decided for days ahead and counted in
    diagnosis: Diagnosis | None
    drawing_wide: str
    drawing_narrow: str
    title_block: tuple[Fact, ...]
    facts: tuple[Fact, ...]
    build: FilterBuild | None
    flow_l_per_h: float | None
    odour: int | None
    water_temp_c: float | None
    record: str = ""  # how its last forecasts turned out

    @property
    def wants_emptying(self) -> bool:
        return self.words.wants_emptying


def build_filter_state(
    *, each: Filter, known: KnownFilter, enclosure: Enclosure, today: date, prefix: str = "", record: str = ""
) -> FilterState:
    """`each` with its answer joined and builds, layers, fittings and pumps prefetched; `known` its evidence as of today."""
    stored, build = stored_outlook(each), each.build_on(today)
    due_fill = due_fill_of(stored, build, usual=enclosure.facility.default_due_fill)
    words = outlook_words(stored, today=today, due_fill=due_fill)
    signs = known.signs
    flow, heads = signs.last_flow() or _latest_flow(signs.flows), signs.head_checks()
    section = None
    if build is not None:
        section = drawing_of(
            build,
            code=each.code,
            enclosure=enclosure,
            due_fill=due_fill,
            sludge=fill_of(stored),
            head_mm=heads[-1].head_difference_mm if heads else None,
        )
    coping = coping_of(signs, today)
    explained = explanation_of(stored)
    return FilterState(
        code=each.code,
        words=words,
        lead=kept_together(lead_words(stored, words, today=today)),
        season=words.season,
        next_reading=kept_together(str(stored.answer.get("next_reading") or "")) if stored else "",
        notes=explained.notes if explained else _notes(stored),
        has_doubtful_meals=has_doubtful_meals(stored),
        explained=explained,
        ahead=tuple(kept_together(str(said)) for said in (stored.detail.get("ahead") or ())) if stored else (),
        diagnosis=diagnosed(signs, today),
        drawing_wide=section_svg(section, "print", prefix=prefix) if section else "",
        drawing_narrow=section_svg(section, "card", prefix=prefix) if section else "",
        title_block=_title_block(each, build, enclosure=enclosure, flow=flow, today=today),
        facts=_facts(known, stored, words, coping, flow=flow, heads=heads, today=today),
        build=build,
        flow_l_per_h=flow.flow_l_per_h if flow else (build.baseline_flow_l_per_h if build else None),
        odour=signs.last_odour(),
        water_temp_c=signs.water_temp_c,
        record=record,
    )


def _notes(stored: FilterOutlook | None) -> tuple[str, ...]:
    return tuple(kept_together(str(note)) for note in (stored.detail.get("notes") or ())) if stored else ()


def lead_words(stored: FilterOutlook | None, words: OutlookWords, *, today: date) -> str:
    """'Past the due line since before 30 Aug. Full to the grid between now and Jul 2026, most likely 16 Nov.'"""
    if stored is None or not words.has_forecast:
        return f"{words.due.lead} {words.due.rest}".strip()
    if words.due.lead == "Now.":
        said = f"{words.due.rest}."
    else:
        said = f"Due {words.due.lead[0].lower()}{words.due.lead[1:]} {words.due.rest}".strip().rstrip(".") + "."
    outlook = outlook_from(stored)
    full = outlook.full_on
    if full is None or full.p10 is None or (full.p10 - today).days > SAYS_FULL_WITHIN_DAYS:
        return said
    if full.p90 is not None and full.p90 <= today:
        return f"{said} Full to the grid now."
    horizon = outlook.not_before or outlook.as_of + timedelta(days=HORIZON_DAYS)
    when = due_words(replace(outlook, due_on=full, due_fill=1.0, last_sounding_fill=None, not_before=horizon), today)
    return f"{said} Full to the grid {when.lead[0].lower()}{when.lead[1:]} {when.rest}".rstrip(".") + "."


def _latest_flow(flows: tuple[FlowSign, ...]) -> FlowSign | None:
    """A flow without a baseline to set it against is still a flow."""
    return next((flow for flow in reversed(flows) if flow.flow_l_per_h is not None), None)


# The title block ----------------------------------------------------------------------------------------------------


def _title_block(
    each: Filter, build: FilterBuild | None, *, enclosure: Enclosure, flow: FlowSign | None, today: date
) -> tuple[Fact, ...]:
    if build is None:
        return ()
    area = recorded_quantity(round(build.chamber_area_m2, 3), "m²")
    usable = recorded_quantity(round(build.usable_void_l, 1 if build.usable_void_l < 100 else 0), "L")
    rows = [
        Fact(term="Filter", value=f"{each.code}, upflow, as built {_built_words(build.valid_from, today)}"),
        Fact(term="Void", value=f"{area} × {recorded_quantity(build.void_height_mm, 'mm')}, {usable} usable"),
        Fact(term="Pump", value=_pump_words(each, today)),
        Fact(term="Cleanout pipe", value=_pipe_words(build)),
    ]
    now = flow.flow_l_per_h if flow else None
    clean = build.baseline_flow_l_per_h
    if now or clean:
        rows.append(Fact(term="Upflow", value=_upflow_words(now, clean, area_m2=build.chamber_area_m2)))
        turns = turnover_per_h(flow_l_per_h=now or clean or 0.0, water_volume_l=enclosure.water_volume_l)
        rows.append(Fact(term="Turnover", value=f"{rounded_for_people(turns)} an hour"))
    return tuple(replace(row, value=kept_together(row.value)) for row in rows)


def _built_words(day: date, today: date) -> str:
    """The day while it is news, then the month, then the year."""
    age = (today - day).days
    if age < 300:
        return day_words(day, today)
    return f"{MONTHS[day.month - 1]} {day.year}" if age < 1000 else str(day.year)


def _pump_words(each: Filter, today: date) -> str:
    on = [f.pump for f in each.pump_fittings.all() if f.from_on <= today and (f.to_on is None or f.to_on > today)]
    if not on:
        return "not on record"
    said = []
    for pump in on:
        rated = f"{recorded_quantity(pump.rated_l_per_h, 'L/h')} rated" if pump.rated_l_per_h else pump.code
        said.append(f"{rated}, {recorded_quantity(pump.watts, 'W')}" if pump.watts else rated)
    return " and ".join(said)


def _pipe_words(build: FilterBuild) -> str:
    if not build.pipe_bore_mm:
        return "not on record"
    many = f"{count_words(build.pipe_count)} of " if (build.pipe_count or 1) > 1 else ""
    return f"{many}{recorded_quantity(build.pipe_bore_mm, 'mm')} inside"


def _upflow_words(now: float | None, clean: float | None, *, area_m2: float) -> str:
    speed = upflow_m_per_h(flow_l_per_h=now or clean or 0.0, area_m2=area_m2)
    said = quantity(speed, "m/h")
    if not now:
        return f"{said} when clean"
    if not clean:
        return said
    was = upflow_m_per_h(flow_l_per_h=clean, area_m2=area_m2)
    return f"{said}, {rounded_for_people(was)} when clean"


# The facts ----------------------------------------------------------------------------------------------------------


def _facts(
    known: KnownFilter,
    stored: FilterOutlook | None,
    words: OutlookWords,
    coping: CopingVerdict,
    *,
    flow: FlowSign | None,
    heads: tuple[FlowSign, ...],
    today: date,
) -> tuple[Fact, ...]:
    emptied = known.emptied
    rows = [
        _sounding_fact(known, today),
        _emptied_fact(known, emptied, today),
        _fed_fact(known, emptied.occurred_on if emptied else None, today),
        _flow_fact(flow, today),
        _head_fact(heads, today),
        Fact(term="The filter is", value=coping.verdict.label, remark=coping.sentence, verdict=coping.verdict),
        _basis_fact(stored, words),
    ]
    return tuple(
        replace(row, value=kept_together(row.value), remark=kept_together(row.remark))
        for row in rows
        if row is not None
    )


def _sounding_fact(known: KnownFilter, today: date) -> Fact:
    if not known.evidence.soundings:
        return Fact(
            term="Last sounding", value="never", remark="a rod down the cleanout pipe says more than anything else"
        )
    seen = known.evidence.soundings[-1]
    build = known.evidence.build_on(seen.on)
    height = build.void_height_mm if build else None
    mean = sum(seen.depths_mm) / len(seen.depths_mm)
    if seen.qualifier == ">=":
        value = "rod at the grid: full or more"
    elif height:
        sign = "under " if seen.qualifier == "<=" else ""
        value = f"{sign}{as_recorded(round(mean))} mm of {as_recorded(height)}, {percent_words(mean / height)}"
    else:
        value = f"{as_recorded(round(mean))} mm"
    dispute = "; taken while signals disagreed, so not learnt from" if seen.is_disputed else ""
    return Fact(term="Last sounding", value=value, remark=ago_words(seen.on, today) + dispute)


def _emptied_fact(known: KnownFilter, emptied: Cleanout | None, today: date) -> Fact:
    part = [done.on for done in known.evidence.cleanouts if done.outcome == "part"]
    later = [day for day in part if emptied is None or day > emptied.occurred_on]
    partly = f"partly on {day_words(later[-1], today)}" if later else ""
    if emptied is None:
        since = known.evidence.commissioned_on
        running = f"running since {day_words(since, today)}" if since else ""
        return Fact(term="Last emptied", value="never on record", remark="; ".join(filter(None, [partly, running])))
    said = [
        f"{recorded_quantity(emptied.slurry_l, 'L')} slurry" if emptied.slurry_l is not None else "",
        recorded_quantity(emptied.minutes, "min") if emptied.minutes else "",
        "rod was at the grid" if emptied.depth_before_qualifier == ">=" else "",
        partly,
    ]
    return Fact(term="Last emptied", value=day_words(emptied.occurred_on, today), remark=", ".join(filter(None, said)))


def _fed_fact(known: KnownFilter, emptied_on: date | None, today: date) -> Fact:
    start = emptied_on or known.evidence.commissioned_on
    dry_g = sum(portion.dry_g for portion in known.evidence.feedings if start is None or portion.on >= start)
    fed = f"{quantity(dry_g / 1000, 'kg')} dry feed" if dry_g >= 1000 else f"{quantity(dry_g, 'g')} dry feed"
    falls = leaf_falls(start, today, is_southern=known.evidence.is_southern) if known.signs.has_trees and start else 0
    leaves = f", {count_words(falls)} leaf fall{'s' if falls != 1 else ''}" if falls else ""
    return Fact(
        term="In since then" if emptied_on else "In since the start",
        value=(fed if dry_g else "no feed on record") + leaves,
    )


def leaf_falls(since: date, today: date, *, is_southern: bool) -> int:
    """Autumns whose leaves are down by the middle of November (May in the south)."""
    month = 5 if is_southern else 11
    return sum(since < date(year, month, 15) <= today for year in range(since.year, today.year + 1))


def _flow_fact(flow: FlowSign | None, today: date) -> Fact:
    if flow is None or flow.flow_l_per_h is None:
        return Fact(
            term="Flow", value="never read since the last work on it", remark="a bucket and a watch at the return"
        )
    value = recorded_quantity(flow.flow_l_per_h, "L/h")
    if flow.flow_share is None:
        return Fact(term="Flow", value=value, remark=f"{day_words(flow.on, today)}; no baseline to set it against")
    look = f"look from under {percent_words(FLOW_LOOK)}"
    return Fact(
        term="Flow",
        value=f"{value}, {percent_words(flow.flow_share)} of baseline",
        remark=f"{day_words(flow.on, today)}; {look}",
    )


def _head_fact(heads: tuple[FlowSign, ...], today: date) -> Fact | None:
    if not heads or heads[-1].head_ratio is None or heads[-1].head_difference_mm is None:
        return None
    head = heads[-1]
    return Fact(
        term="Head difference",
        value=f"{as_recorded(head.head_difference_mm or 0)} mm, {times_words(head.head_ratio or 0)} baseline",
        remark=f"{day_words(head.on, today)}; look from {HEAD_LOOK:g} ×",
    )


def _basis_fact(stored: FilterOutlook | None, words: OutlookWords) -> Fact | None:
    basis = str(stored.answer.get("basis") or "") if stored is not None else ""
    if not basis:
        return None
    nearest = str(stored.answer.get("next_reading") or "") if stored is not None else ""
    said = [part.rstrip(".") for part in (words.stale, nearest) if part]
    return Fact(term="It rests on", value=basis, remark=". ".join(said) + "." if said else "")
