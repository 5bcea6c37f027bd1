"""What is decided for the days ahead, of the whole facility, in the order of its days; what goes on now, and what was settled lately."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Prefetch
from django.utils import timezone

from enclosures.boards.feeding_plan import plan_words
from enclosures.models import (
    Animal,
    Enclosure,
    FeedingPlan,
    FeedingPlanLine,
    PlannedMove,
    PlannedMover,
    PlannedSeason,
    PlanState,
    Season,
    Stay,
)
from enclosures.verdicts.words import capital, count_words, day_words, kept_together, listed

SETTLED_SHOWN = 12
SETTLED_DAYS = 120
NAMED = 4
SEASON_WORDS = {"brumation": "winter rest", "drained": "drained", "resting": "rest without animals"}


@dataclass(frozen=True, kw_only=True, slots=True)
class ComingLine:
    """One change ahead. `kind` move, season or meal; `start` the place it begins from, where animals can be moved on the spot."""

    kind: str
    entry: str
    on: date
    when: str
    what: str
    who: str
    decided: str
    note: str
    is_late: bool
    place: str
    start: str = ""
    word: str = ""  # what was done with it, of one that is settled


@dataclass(frozen=True, kw_only=True, slots=True)
class RunningSeason:
    pk: int
    what: str
    since: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ComingChanges:
    lines: tuple[ComingLine, ...]
    running: tuple[RunningSeason, ...]
    settled: tuple[ComingLine, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedLine:
    """Where one animal is to go. `place` its code where it is a place of ours; `note` is for people inside."""

    what: str
    place: str
    when: str
    decided: str
    note: str


def build_coming_changes(*, today: date) -> ComingChanges:
    """A fixed number of queries."""
    lines = [
        *(_move(row, today=today) for row in moves_ahead()),
        *(_season(row, today=today) for row in seasons_ahead()),
        *_meals(today=today),
    ]
    running = Season.objects.filter(to_on=None, from_on__lte=today).exclude(kind="active").select_related("enclosure")
    return ComingChanges(
        lines=tuple(sorted(lines, key=lambda line: (line.on, line.place, line.what))),
        running=tuple(
            RunningSeason(
                pk=season.pk,
                what=f"{season.enclosure.code}, {SEASON_WORDS[season.kind]}",
                since=kept_together(f"since {day_words(season.from_on, today)}"),
            )
            for season in running.order_by("enclosure__code", "from_on")
        ),
        settled=_settled(today=today),
    )


def moves_ahead(*, start: Enclosure | None = None) -> Any:
    """Moves not yet made, all of them or those from one place, the nearest first."""
    movers = Prefetch("movers", PlannedMover.objects.select_related("animal").order_by("position"))
    rows = PlannedMove.objects.ahead().select_related("from_enclosure", "to_enclosure", "taxon")
    if start is not None:
        rows = rows.filter(from_enclosure=start)
    return rows.prefetch_related(movers).order_by("planned_on", "pk")


def planned_for(animal: Animal, *, today: date) -> list[PlannedLine]:
    """What is decided for one animal, the nearest first."""
    moves = PlannedMove.objects.ahead().filter(movers__animal=animal).select_related("to_enclosure")
    return [
        PlannedLine(
            what="is to move to" if move.to_enclosure is not None else "is to leave",
            place=move.to_enclosure.code if move.to_enclosure is not None else "",
            when=_about(move.planned_on, today),
            decided=_decided(move, today),
            note=move.note,
        )
        for move in moves.order_by("planned_on", "pk")
    ]


def seasons_ahead() -> Any:
    return PlannedSeason.objects.ahead().select_related("enclosure").order_by("from_on", "pk")


def move_sentence(move: PlannedMove) -> str:
    """'Four animals move from T1 to P3', 'BL-104 arrives at P1', 'two loggerhead musks leave P3'."""
    names = [mover.animal.code for mover in move.movers.all()]
    n = len(names) or move.n_animals or 0
    many = "" if n == 1 else "s"
    kind = (move.taxon.common_name or move.taxon.scientific_name) if move.taxon is not None else "animal"
    who = names[0] if len(names) == 1 else f"{count_words(n)} {kind}{many}"
    s = "s" if n == 1 else ""
    start, end = move.from_enclosure, move.to_enclosure
    if start is None and end is not None:
        return f"{who} arrive{s} at {end.code}"
    if end is None and start is not None:
        return f"{who} leave{s} {start.code}"
    return f"{who} move{s} from {start.code} to {end.code}" if start is not None and end is not None else who


def planned_words(move: PlannedMove, *, today: date) -> str:
    """'Four animals move from T1 to P3, about 1 May'."""
    return kept_together(f"{capital(move_sentence(move))}, {_about(move.planned_on, today)}")


def season_sentence(season: PlannedSeason, *, today: date) -> str:
    """'Winter rest at P1, to about 22 Mar'."""
    end = f"to about {day_words(season.to_on, today)}" if season.to_on is not None else "until further notice"
    return f"{season.enclosure.code}, {SEASON_WORDS[season.kind]}, {end}"


def not_there_yet(move: PlannedMove) -> list[str]:
    """Named animals whom the books do not have where they were to go."""
    animals = {mover.animal_id: mover.animal.code for mover in move.movers.all()}
    there = dict(Stay.objects.open_now().filter(animal__in=animals).values_list("animal_id", "enclosure_id"))
    return sorted(code for pk, code in animals.items() if there.get(pk) != move.to_enclosure_id)


def _move(move: PlannedMove, *, today: date) -> ComingLine:
    names = [mover.animal.code for mover in move.movers.all()]
    return ComingLine(
        kind="move",
        entry=str(move.entry),
        on=move.planned_on,
        when=_about(move.planned_on, today),
        what=kept_together(capital(move_sentence(move))),
        who=listed(names) if len(names) > 1 else "",
        decided=_decided(move, today),
        note=move.note,
        is_late=move.planned_on < today,
        place=move.from_enclosure.code if move.from_enclosure is not None else "",
        start=move.from_enclosure.code if move.from_enclosure is not None and move.to_enclosure is not None else "",
    )


def _season(season: PlannedSeason, *, today: date) -> ComingLine:
    return ComingLine(
        kind="season",
        entry=str(season.entry),
        on=season.from_on,
        when=_about(season.from_on, today),
        what=kept_together(capital(season_sentence(season, today=today))),
        who="",
        decided=_decided(season, today),
        note=season.note,
        is_late=season.from_on < today,
        place=season.enclosure.code,
    )


def _meals(*, today: date) -> list[ComingLine]:
    """Feeding plans that begin on a later day; those of one animal stand at the place it lives in."""
    lines = Prefetch("lines", FeedingPlanLine.objects.select_related("food_item").order_by("position"))
    plans = FeedingPlan.objects.filter(from_on__gt=today).select_related("enclosure", "animal").prefetch_related(lines)
    found = []
    for plan in plans.order_by("from_on", "code"):
        said = plan_words(plan, today=today)
        whose = plan.enclosure.code if plan.enclosure is not None else plan.animal.code  # type: ignore[union-attr]
        found.append(
            ComingLine(
                kind="meal",
                entry="",
                on=plan.from_on,
                when=kept_together(f"from {day_words(plan.from_on, today)}"),
                what=kept_together(f"{whose}, another meal: {said.when.lower()}"),
                who=said.foods,
                decided="",
                note="",
                is_late=False,
                place=plan.enclosure.code if plan.enclosure is not None else "",
            )
        )
    return found


def _settled(*, today: date) -> tuple[ComingLine, ...]:
    """Ticked off or called off in the last months, the newest first."""
    since = today - timedelta(days=SETTLED_DAYS)
    movers = Prefetch("movers", PlannedMover.objects.select_related("animal").order_by("position"))
    ended = {"state__in": (PlanState.DONE, PlanState.CALLED_OFF), "entered_at__date__gte": since}
    moves = PlannedMove.objects.filter(**ended).select_related("from_enclosure", "to_enclosure", "taxon")
    seasons = PlannedSeason.objects.filter(**ended).select_related("enclosure")
    rows: list[Any] = [*moves.prefetch_related(movers).order_by("-entered_at")[:SETTLED_SHOWN]]
    rows += seasons.order_by("-entered_at")[:SETTLED_SHOWN]
    rows.sort(key=lambda row: row.entered_at, reverse=True)
    found = []
    for row in rows[:SETTLED_SHOWN]:
        is_move = isinstance(row, PlannedMove)
        line = _move(row, today=today) if is_move else _season(row, today=today)
        done = row.state == PlanState.DONE
        word = ("begun" if not is_move else "done") if done else "called off"
        by = f" by {row.entered_by}" if row.entered_by else ""
        why = f": {row.reason}" if not done and row.reason != "called off" else ""
        found.append(
            ComingLine(
                kind=line.kind, entry=line.entry, on=line.on, when=line.when, what=line.what, who=line.who, decided="", note="",
                is_late=False, place=line.place,
                word=kept_together(f"{word} {day_words(timezone.localtime(row.entered_at).date(), today)}{by}{why}"),
            )
        )  # fmt: skip
    return tuple(found)


def _about(day: date, today: date) -> str:
    return kept_together(f"about {day_words(day, today)}")


def _decided(row: Any, today: date) -> str:
    by = f" by {row.entered_by}" if row.entered_by else ""
    return kept_together(f"decided {day_words(row.occurred_on, today)}{by}")
