"""The invented station put together: all of its tables, for a day of its own time or for the day on the wall. No database here."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from enclosures.scenarios import awkward, filters_log, living, rounds, water
from enclosures.scenarios.animals import animal_tables
from enclosures.scenarios.breeding import breeding_tables
from enclosures.scenarios.growth import measurements
from enclosures.scenarios.health import health_tables
from enclosures.scenarios.planned import planned_tables
from enclosures.scenarios.plans import plan_tables
from enclosures.scenarios.rows import AS_OF, FIRST_DAY, LAST_DAY, ZONE, Tables, clock
from enclosures.scenarios.shifting import known_by, shift_days, shifted
from enclosures.scenarios.station import station_tables
from enclosures.scenarios.stores import stores_tables
from enclosures.scenarios.treatments import treatment_tables


def demo_tables(*, until: date | None = None) -> Tables:
    """All tables as known at the end of `until` (default and golden answers: AS_OF), in the station's own, unshifted dates."""
    return tables_at(clock((until or AS_OF) + timedelta(days=1), "00:00") - timedelta(seconds=1))


def tables_at(moment: datetime) -> Tables:
    """All tables as known at the moment, unshifted. Beyond LAST_DAY nothing more happens."""
    last = min(max(moment.astimezone(ZONE).date(), AS_OF), LAST_DAY)
    tables: Tables = {
        **station_tables(),
        **stores_tables(),
        **animal_tables(),
        **breeding_tables(),
        **health_tables(),
        **plan_tables(),
        **treatment_tables(moment),
        **planned_tables(),
        "measurements": measurements(),
        "feedings": rounds.feedings(FIRST_DAY, last),
        "water_tests": rounds.temperatures(FIRST_DAY, last) + water.tests(FIRST_DAY, last),
        "water_changes": water.changes(FIRST_DAY, last),
        "soundings": filters_log.soundings() + (living.later_soundings() if last > AS_OF else []),
        "flow_checks": filters_log.flow_checks(FIRST_DAY, last),
        "cleanouts": filters_log.cleanouts() + (living.later_cleanouts() if last > AS_OF else []),
        "upkeep": filters_log.upkeep(FIRST_DAY, last),
    }
    awkward.seed(tables)
    return known_by(tables, moment)


def living_tables(*, now: datetime) -> Tables:
    """All tables moved in time by whole years of 364 days, and gone on with by the same rules, so that they end now."""
    by_days = shift_days(now.astimezone(ZONE).date())
    there = now.astimezone(ZONE).replace(tzinfo=None) - timedelta(days=by_days)
    return shifted(tables_at(there.replace(tzinfo=ZONE)), by_days=by_days)
