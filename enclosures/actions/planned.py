"""Deciding on moves and seasons beforehand: planned, put off, done, called off. Every step is a record; none is erased."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.db import transaction

from enclosures.actions.corrections import supersede
from enclosures.actions.entries import Logged, Refused, Stamp, record_entry
from enclosures.actions.events import begin_season
from enclosures.actions.stale import mark_stale
from enclosures.forecast.sureness import day_words
from enclosures.models import Animal, Enclosure, Moment, PlannedMove, PlannedSeason, PlanState, Taxon

Plan = PlannedMove | PlannedSeason

CALLED_OFF_ALREADY = {
    PlanState.DONE: "It is ticked off already.",
    PlanState.CALLED_OFF: "It is called off already; plan it anew.",
}
HAS_PASSED = "That day has passed. Log it as done instead, or choose a day ahead."


def plan_move(
    *,
    planned_on: date,
    moment: Moment,
    stamp: Stamp,
    from_enclosure: Enclosure | None = None,
    to_enclosure: Enclosure | None = None,
    animals: Sequence[Animal] = (),
    n_animals: int | None = None,
    taxon: Taxon | None = None,
    mass_g: float | None = None,
    entry: uuid.UUID | str | None = None,
) -> Logged:
    """Animals, by name or by number, are to go from one place to another on about `planned_on`; an end left out is outside.

    Raises Refused (nobody, no place, the same place, a day gone by) and EntryConflict.
    """
    values = move_values(
        from_enclosure=from_enclosure, to_enclosure=to_enclosure, planned_on=planned_on, animals=animals,
        n_animals=n_animals, taxon=taxon, mass_g=mass_g, decided_on=moment.on,
    )  # fmt: skip
    with transaction.atomic():
        logged = record_entry(
            PlannedMove,
            entry=entry,
            moment=moment,
            values={**values, "state": PlanState.AHEAD},
            parts={"movers": [{"animal": animal} for animal in _each_once(animals)]},
            stamp=stamp,
        )
        mark_stale(enclosures=_places(logged.record))
    return logged


def move_values(
    *,
    from_enclosure: Enclosure | None,
    to_enclosure: Enclosure | None,
    planned_on: date,
    animals: Sequence[Animal],
    n_animals: int | None,
    taxon: Taxon | None,
    mass_g: float | None,
    decided_on: date,
) -> dict[str, Any]:
    """The fields of a planned move; of named animals number and kind are known. Raises Refused."""
    if not animals and not n_animals:
        raise Refused({"animals": "Say who is to move: tick them, or say how many."})
    if from_enclosure is None and to_enclosure is None:
        raise Refused({"to": "Say where they come from or where they go."})
    if from_enclosure == to_enclosure:
        raise Refused({"to": "They are there already: choose another place."})
    if planned_on < decided_on:
        raise Refused({"planned_on": HAS_PASSED})
    return {
        "from_enclosure": from_enclosure,
        "to_enclosure": to_enclosure,
        "planned_on": planned_on,
        "n_animals": None if animals else n_animals,
        "taxon": None if animals else taxon,
        "mass_g": mass_g,
    }


def plan_season(
    *,
    enclosure: Enclosure,
    kind: str,
    from_on: date,
    to_on: date | None,
    moment: Moment,
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
) -> Logged:
    """Winter rest, a drained spell or a rest without animals, decided on beforehand.

    Raises Refused (it ends before it begins, it is over, a winter rest without an end, another of its kind then) and EntryConflict.
    """
    with transaction.atomic():
        values = season_values(enclosure=enclosure, kind=kind, from_on=from_on, to_on=to_on, decided_on=moment.on)
        _refuse_second(enclosure, kind=kind, from_on=from_on, to_on=to_on, besides=entry)
        logged = record_entry(
            PlannedSeason,
            entry=entry,
            moment=moment,
            values={**values, "state": PlanState.AHEAD},
            stamp=stamp,
        )
        mark_stale(enclosures=[enclosure])
    return logged


def season_values(
    *, enclosure: Enclosure, kind: str, from_on: date, to_on: date | None, decided_on: date
) -> dict[str, Any]:
    """The fields of a planned season. Raises Refused."""
    if to_on is not None and to_on < from_on:
        raise Refused({"to_on": "It ends before it begins."})
    if to_on is not None and to_on < decided_on:
        raise Refused({"to_on": HAS_PASSED})
    if to_on is None and kind == "brumation":
        raise Refused({"to_on": "Say until about when: a winter rest has an end."})
    return {"enclosure": enclosure, "kind": kind, "from_on": from_on, "to_on": to_on}


def change_plan(
    plan: Plan, *, changes: dict[str, Any], stamp: Stamp, reason: str, note: str | None = None,
    animals: Sequence[Animal] | None = None, entry: uuid.UUID | str | None = None,
) -> Logged:  # fmt: skip
    """Put off, or with others. Raises Refused (done or called off already) and EntryConflict."""
    _refuse_settled(plan)
    parts = {} if animals is None else {"movers": _each_once(animals)}
    with transaction.atomic():
        if isinstance(plan, PlannedSeason):
            said = {name: changes.get(name, getattr(plan, name)) for name in ("enclosure", "kind", "from_on", "to_on")}
            _refuse_second(said.pop("enclosure"), **said, besides=plan.entry)
        return supersede(plan, changes=changes, parts=parts, stamp=stamp, reason=reason, note=note, entry=entry)


def tick_off(plan: Plan, *, stamp: Stamp, reason: str = "done") -> Logged:
    """It has come to pass. Ticked twice it is ticked once. Raises Refused (called off)."""
    return _settled(plan, PlanState.DONE, stamp=stamp, reason=reason)


def call_off(plan: Plan, *, stamp: Stamp, reason: str = "") -> Logged:
    """It is not to be. The plan stays on record with the reason. Raises Refused (done already)."""
    return _settled(plan, PlanState.CALLED_OFF, stamp=stamp, reason=reason.strip() or "called off")


def begin_planned_season(plan: PlannedSeason, *, on: date, stamp: Stamp) -> Logged:
    """It has begun on `on`: the season is written, without its end, which stays what is planned. Raises Refused."""
    with transaction.atomic():
        begin_season(enclosure=plan.enclosure, kind=plan.kind, from_on=on, stamp=stamp)
        return tick_off(plan, stamp=stamp, reason="begun")


def _settled(plan: Plan, state: PlanState, *, stamp: Stamp, reason: str) -> Logged:
    newest = _newest(plan)
    if newest.state == state and not newest.withdrawn:
        return Logged(newest, is_new=False)
    _refuse_settled(newest)
    return supersede(newest, changes={"state": state}, stamp=stamp, reason=reason)


def _newest(plan: Plan) -> Plan:
    while (newer := type(plan).all_rows.filter(supersedes=plan).first()) is not None:
        plan = newer
    return plan


def _refuse_settled(plan: Plan) -> None:
    if said := CALLED_OFF_ALREADY.get(PlanState(plan.state)):
        raise Refused({"__all__": said})


def _refuse_second(
    enclosure: Enclosure, *, kind: str, from_on: date, to_on: date | None, besides: uuid.UUID | str | None
) -> None:
    """Two plans of one kind for the same days are one too many."""
    others = PlannedSeason.objects.filter(enclosure=enclosure, kind=kind).ahead()
    for other in others.exclude(entry=besides) if besides is not None else others:
        if (to_on is None or other.from_on <= to_on) and (other.to_on is None or other.to_on >= from_on):
            raise Refused(
                {
                    "from_on": f"It is planned there from about {day_words(other.from_on)} already; change that plan instead."
                }
            )


def _each_once(animals: Iterable[Animal]) -> list[Animal]:
    return list({animal.pk: animal for animal in animals}.values())


def _places(plan: PlannedMove) -> list[int]:
    return [pk for pk in (plan.from_enclosure_id, plan.to_enclosure_id) if pk is not None]
