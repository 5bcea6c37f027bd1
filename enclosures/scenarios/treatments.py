"""One course in quarantine, begun a few days before whatever day the station is looked at, so that a dose is always due.

Invented, like everything here: a paste without a name, ordered by a veterinarian who does not exist.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

from enclosures.scenarios.rounds import HABITS, keeper, present
from enclosures.scenarios.rows import ZONE, Row, Tables, clock, event, minutes_after, row, stamp

BEGAN_DAYS_BEFORE = 5
N_DOSES = 12
NOT_GIVEN_ON = 2  # days before: it had gone under the cork
PLACES = ("Q1", *(code for code in HABITS if code != "Q1"))  # the first with somebody in it


def treatment_tables(moment: datetime) -> Tables:
    """The course and its doses up to the day before the moment's."""
    today = moment.astimezone(ZONE).date()
    place = next(code for code in PLACES if present(code, clock(today, "08:00")))
    animal = sorted(present(place, clock(today, "08:00")))[0]
    first = today - timedelta(days=BEGAN_DAYS_BEFORE)
    code = f"{animal}-t1"
    course = row(
        treatment=code, animal=animal, what="Wound paste", dose="a film over the mark, then two hours dry", amount=0.5,
        unit="mL", route="on the left bridge", every_days=1, slots="am", from_on=first, n_doses=N_DOSES,
        why="abrasion from the transport box", handling="Gloves. No soaking until it has dried.",
        prescribed_by="Dr A. Sorrel", entered_at=stamp(clock(first, "07:50")), entered_by="VET",
    )  # fmt: skip
    days = [first + timedelta(days=n) for n in range(BEGAN_DAYS_BEFORE)]
    return {"treatments": [course], "doses": [_dose(code, place, day, today=today) for day in days]}


def _dose(code: str, place: str, day: date, *, today: date) -> Row:
    at = minutes_after(clock(day, HABITS[place].at), 4)
    said: dict[str, object] = {"outcome": "given", "amount": 0.5, "unit": "mL"}
    if (today - day).days == NOT_GIVEN_ON:
        said = {"outcome": "not_given", "why_not": "could not be caught"}
    return event(
        "dose",
        code,
        day,
        at=at,
        by=keeper(day, "am"),
        treatment=code,
        enclosure=place,
        for_on=day,
        for_part="am",
        **said,
    )
