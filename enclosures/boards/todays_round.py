"""Today's round: enclosures in walking order, quarantine last, each with its meal filled in, what else is due, and what was done.

Nothing is asked where season or water says none: then the stop is a look and a count.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta, timezone
from zoneinfo import ZoneInfo

from enclosures.boards.entry_words import WEEKDAYS
from enclosures.boards.round_done import DoneStop, Reader, done_stop
from enclosures.boards.round_doses import RoundDose, load_doses
from enclosures.boards.round_due import DueJob, load_due
from enclosures.boards.round_facts import PlaceFacts, load_facts
from enclosures.boards.round_meal import PlannedFood, What, has_meal, meal_of
from enclosures.models import Animal, EnclosureKind, RoundSkip, SeasonKind, Slot
from enclosures.verdicts.words import capital, count_words, day_words, kept_together, listed


@dataclass(frozen=True, kw_only=True, slots=True)
class RoundRow:
    """`plan` and `who` are the two lines of the row; `why` the reason a meal is held back."""

    code: str
    name: str
    what: What
    plan: str
    who: str
    foods: tuple[PlannedFood, ...]
    why: str
    is_quarantine: bool
    animals: tuple[tuple[str, str], ...]  # code, and what tells it apart here
    last_temp: str
    due: tuple[DueJob, ...]
    instructions: tuple[tuple[str, str], ...]  # entry, text
    done: DoneStop | None
    doses: tuple[RoundDose, ...] = ()
    remark: str = ""

    @property
    def doses_due(self) -> tuple[RoundDose, ...]:
        return tuple(dose for dose in self.doses if dose.is_due)

    @property
    def n_expected(self) -> int:
        return len(self.animals)


@dataclass(frozen=True, kw_only=True, slots=True)
class RoundBoard:
    day: date
    slot: str
    is_today: bool
    walk: tuple[RoundRow, ...]
    quarantine: tuple[RoundRow, ...]
    apart: str  # who is not on this round, and why
    missed: tuple[str, ...]  # of yesterday, in words

    @property
    def rows(self) -> tuple[RoundRow, ...]:
        return (*self.walk, *self.quarantine)

    @property
    def n_done(self) -> int:
        return sum(row.done is not None for row in self.rows)

    @property
    def left(self) -> tuple[str, ...]:
        return tuple(row.code for row in self.rows if row.done is None)

    @property
    def doses_left(self) -> tuple[tuple[str, RoundDose], ...]:
        """Enclosure and dose, for all that are due and not noted."""
        return tuple((row.code, dose) for row in self.rows for dose in row.doses_due)

    @property
    def has_doses(self) -> bool:
        return any(row.doses for row in self.rows)

    @property
    def skipped(self) -> tuple[RoundRow, ...]:
        return tuple(row for row in self.rows if row.done is not None and row.done.is_skip)

    @property
    def odd(self) -> tuple[tuple[str, str], ...]:
        return tuple((row.code, text) for row in self.rows if row.done is not None for text in row.done.odd)

    def row(self, code: str) -> RoundRow | None:
        return next((row for row in self.rows if row.code == code), None)

    def after(self, code: str) -> str:
        """The next stop still to do, from this one on and round again."""
        codes = [row.code for row in self.rows]
        start = codes.index(code) + 1 if code in codes else 0
        return next((row.code for row in (*self.rows[start:], *self.rows[:start]) if row.done is None), "")


def build_todays_round(*, day: date, today: date, slot: str, zone: ZoneInfo, reader: Reader) -> RoundBoard:
    """A constant number of queries, however many enclosures."""
    facts = load_facts(day=day, slot=slot, zone=zone)
    due = load_due(facts, day=day) if day == today else {}
    doses = load_doses(facts, day=day, slot=slot, zone=zone, reader=reader)
    rows: list[RoundRow] = []
    without_animals: list[str] = []
    other_meal: list[str] = []
    for each in facts:
        if not each.animals and not each.done:
            without_animals.append(_apart_words(each, day))
        elif not (each.done or each.place.pk in doses or slot != Slot.EVENING or has_meal(each, day=day, slot=slot)):
            other_meal.append(each.place.code)
        else:
            row = _row(each, due.get(each.place.pk, ()), day=day, slot=slot, reader=reader)
            rows.append(replace(row, doses=doses.get(each.place.pk, ())))
    apart = [f"No evening meal: {listed(other_meal)}."] if other_meal else []
    if without_animals:
        apart.append(f"No animals: {listed(without_animals)}.")
    return RoundBoard(
        day=day,
        slot=slot,
        is_today=day == today,
        walk=tuple(row for row in rows if not row.is_quarantine),
        quarantine=tuple(row for row in rows if row.is_quarantine),
        apart=" ".join(apart),
        missed=_missed(facts, today - timedelta(days=1)) if day == today else (),
    )


def _row(each: PlaceFacts, due: tuple[DueJob, ...], *, day: date, slot: str, reader: Reader) -> RoundRow:
    meal = meal_of(each, day=day, slot=slot)
    done = done_stop(each, meal.what, reader=reader)
    is_one = len(each.animals) == 1
    return RoundRow(
        code=each.place.code,
        name=each.place.name or each.place.get_kind_display().capitalize(),
        what=meal.what,
        plan=kept_together(capital(meal.plan)),
        who=kept_together(". ".join(filter(None, [_who(each.animals, with_code=is_one), *meal.remarks, _last_fed(each, day)]))),
        foods=meal.foods,
        why=meal.why,
        is_quarantine=each.place.kind == EnclosureKind.QUARANTINE,
        animals=tuple(zip((a.code for a in each.animals), _short_codes(each.animals), strict=True)),
        last_temp=kept_together(f"last {each.water[1]:.1f} °C") if each.water else "",
        due=due,
        instructions=tuple((str(one.entry), one.text) for one in each.instructions),
        done=done,
        remark=f"{each.n_missing} missing" if each.n_missing else "",
    )  # fmt: skip


def _who(animals: Sequence[Animal], *, with_code: bool) -> str:
    """'Four striped mud turtles'; one by its code."""
    counts: dict[str, int] = {}
    for animal in animals:
        counts[str(animal.taxon)] = counts.get(str(animal.taxon), 0) + 1
    parts = [f"{count_words(n)} {name}{'' if n == 1 or name.endswith('s') else 's'}" for name, n in counts.items()]
    if not parts:
        return "Nobody in the books"
    return capital(listed(parts)) + (f", {animals[0].code}" if with_code else "")


def _short_codes(animals: Sequence[Animal]) -> list[str]:
    """Without the prefix they share: 'BL-101', 'BL-102' are 101 and 102 on a chip."""
    codes = [animal.code for animal in animals]
    heads = {code.rpartition("-")[0] for code in codes}
    if len(heads) == 1 and heads != {""}:
        return [code.rpartition("-")[2] for code in codes]
    return codes


def _last_fed(each: PlaceFacts, day: date) -> str:
    fed = each.last_fed
    if fed is None or each.season is not None:
        return ""
    local = fed.occurred_at.astimezone(timezone(timedelta(minutes=fed.utc_offset_min)))
    ago = (day - fed.occurred_on).days
    near = {0: "today", 1: "yesterday"}.get(ago) or (WEEKDAYS[fed.occurred_on.weekday()] if ago < 7 else "")
    on = near or day_words(fed.occurred_on, day)
    at = f"{on} {local:%H:%M}" if fed.precision == "minute" else on
    lines = list(fed.lines.all())
    if not lines:
        return f"Not fed {at}"
    eaten = {line.eaten for line in lines}
    came = f", {eaten.pop()} eaten" if len(eaten) == 1 and "" not in eaten else ""
    refused = f", refused by {listed(fed.refused.split())}" if fed.refused else ""
    return f"Last fed {at}{came}{refused}"


def _apart_words(each: PlaceFacts, day: date) -> str:
    if each.season is None:
        return each.place.code
    kind = "drained" if each.season.kind == SeasonKind.DRAINED else "resting"
    return f"{each.place.code}, {kind} since {kept_together(day_words(each.season.from_on, day))},".rstrip(",")


def _missed(facts: list[PlaceFacts], yesterday: date) -> tuple[str, ...]:
    """Meals planned for yesterday that nobody logged, held back or skipped."""
    planned = [
        (each.place.pk, each.place.code, plan.slot)
        for each in facts
        for plan in each.own_plans
        if each.animals and each.season is None and plan.from_on <= yesterday and plan.is_for(yesterday)
    ]
    if not planned:
        return ()
    logged = {(pk, meal.slot) for pk, meal in ((e.place.pk, m) for e in facts for m in e.meals) if meal.on == yesterday}
    skips = RoundSkip.objects.filter(occurred_on=yesterday).values_list("enclosure_id", "slot")
    gone = logged | set(skips)
    return tuple(
        dict.fromkeys(
            f"{code} {'morning' if slot == Slot.MORNING else 'evening'}"
            for pk, code, slot in planned
            if (pk, slot) not in gone
        )
    )
