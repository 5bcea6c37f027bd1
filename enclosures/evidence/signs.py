"""What the verdicts read about one filter, gathered from what was known on the day."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

from enclosures.evidence.known import AsOf
from enclosures.evidence.planned import Ahead, with_planned_events
from enclosures.evidence.stock import Residents
from enclosures.evidence.voids import Void, sounding_signs
from enclosures.evidence.waters import Waters, brumations
from enclosures.forecast.inputs import SeasonSpan
from enclosures.models import EnclosureKind, Filter, LitterLevel
from enclosures.verdicts.signs import FilterSigns
from enclosures.verdicts.windows import is_nesting_season

NEAR_TREES_G_M2_YEAR = 150  # between open ground (100) and near trees (220): common practice, no source
FLOW_FALL_ASKED = 0.8
FALL_WITHIN_DAYS = 30


def signs_of(
    row: Filter,
    *,
    void: Void,
    waters: Waters,
    seasons: tuple[SeasonSpan, ...],
    residents: Residents,
    ahead: Ahead,
    as_of: AsOf,
) -> FilterSigns:
    place, facility, today = row.enclosure, row.enclosure.facility, as_of.day
    build = void.build_on(today)
    due_fill = build.due_fill if build is not None and build.due_fill is not None else facility.default_due_fill
    works, rebuilt_on = void.works_on, _bed_laid_on(row, void)
    emptied = [done.on for done in void.cleanouts if done.outcome == "full"]
    nests = not place.indoor and residents.has_nesting_females(today)
    return FilterSigns(
        filter=row.code,
        due_fill=due_fill,
        flows=tuple(dated.sign for dated in void.flows if not dated.is_before_work),
        waters=waters.signs,
        soundings=sounding_signs(void),
        is_indoor=place.indoor,
        is_pond=not place.indoor,
        is_southern=facility.is_southern,
        has_trees=_has_trees(row),
        brumations=brumations((*seasons, *(span for span in ahead.seasons if span.from_on > today))),
        water_temp_c=waters.now_c,
        stock_kg=residents.stock_kg,
        water_volume_l=place.water_volume_l,
        n_animals=len(residents.present),
        n_program_animals=sum(bool(animal.program) for animal in residents.present),
        n_hatchlings=residents.n_hatchlings(today),
        is_quarantine=place.kind == EnclosureKind.QUARANTINE,
        has_gravid_or_nesting=nests and is_nesting_season(today, is_southern=facility.is_southern),
        has_nesting_females=nests,
        is_skin_sensitive=any(animal.taxon.is_skin_sensitive for animal in residents.present),
        n_pumps=max(void.n_pumps, 1),
        commissioned_on=row.commissioned_on or (void.builds[0].valid_from if void.builds else None),
        last_emptied_on=max(emptied, default=None),
        cleanouts_on=void.cleanouts_on,
        last_work_on=works[-1] if works else None,
        rebuilt_on=rebuilt_on,
        did_rebuild_close_disagreement=any(b.closes_disagreement and b.valid_from == rebuilt_on for b in void.builds),
        arrivals_on=residents.arrivals_on(today),
        events_ahead=with_planned_events(residents.events_ahead, ahead.events),
        remarks=_flow_fell(void, today),
    )


def _bed_laid_on(row: Filter, void: Void) -> date | None:
    """The latest day a bed was laid or lifted; the first build counts when the filter began with it."""
    days = list(void.rebuilt_on)
    if void.builds:
        first = void.builds[0].valid_from
        if row.commissioned_on is None or row.commissioned_on >= first:
            days.append(first)
    return max(days, default=None)


def _has_trees(row: Filter) -> bool:
    place = row.enclosure
    if place.litter_g_m2_year is not None:
        return place.litter_g_m2_year >= NEAR_TREES_G_M2_YEAR
    return place.litter_level in (LitterLevel.NEAR, LitterLevel.CANOPY)


def _flow_fell(void: Void, today: date) -> tuple[str, ...]:
    """Flow a fifth lower within a month of the check before, and nothing on record between: a changed pump is asked after."""
    read = [(dated.sign.on, dated.sign.flow_l_per_h) for dated in void.flows if dated.sign.flow_l_per_h]
    for (earlier, was), (on, now) in pairwise(read):
        is_lately = (today - on).days <= FALL_WITHIN_DAYS and (on - earlier).days <= FALL_WITHIN_DAYS
        is_explained = any(earlier <= work <= on for work in void.works_on)
        if is_lately and not is_explained and now < FLOW_FALL_ASKED * was:
            return ("Flow fell by more than a fifth between two checks: was the pump changed?",)
    return ()
