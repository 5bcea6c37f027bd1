"""Who lives here, and how they came and went. No animal has a name; codes are never used twice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from enclosures.scenarios.rows import FIRST_DAY, Row, Tables, clock, event, row, stamp

SM, KB, EO, PR, GO = (
    "Sternotherus minor", "Kinosternon baurii", "Emys orbicularis", "Pseudemys rubriventris", "Graptemys ouachitensis",
)  # fmt: skip
PROGRAM = "SM-PA-23"
STATION = "Brackenlode"
NOTCH_SCHEME = "alphabetic, 12 positions a side, bridge scutes skipped"

# name, author, common name, no food below °C, skin-sensitive, rests in winter, days without food before a call
_TAXA = (
    (SM, "(Agassiz, 1857)", "loggerhead musk turtle", 15, False, True, 14),
    (KB, "(Garman, 1891)", "striped mud turtle", 18, False, False, 21),
    (EO, "(Linnaeus, 1758)", "European pond turtle", 14, False, True, 21),
    (PR, "(Le Conte, 1830)", "northern red-bellied cooter", 15, False, True, 21),
    (GO, "Cagle, 1953", "Ouachita map turtle", 16, True, False, 21),
)
STOPS_BELOW_C = {name: stop for name, _author, _common, stop, *_rest in _TAXA}


@dataclass(frozen=True, kw_only=True)
class Beast:
    """One animal. `stops` is its path: (when, enclosure, reason); an enclosure of None: gone from here."""

    code: str
    taxon: str
    sex: str
    hatched: tuple[date | None, date | None]
    stops: tuple[tuple[date | datetime, str | None, str], ...]
    origin: str = "elsewhere"
    sex_basis: str = ""
    dam: str = ""
    sire: str = ""
    certainty: str = ""
    clutch: str = ""
    program_number: str = ""
    owner: str = STATION
    note: str = ""


def _in(year: int, spread: int = 0) -> tuple[date, date]:
    return date(year - spread, 1, 1), date(year + spread, 12, 31)


def _on(year: int, month: int, day: int, spread: int = 0) -> tuple[date, date]:
    middle = date(year, month, day).toordinal()
    return date.fromordinal(middle - spread), date.fromordinal(middle + spread)


def _map_turtle(*, here_from: int = 0) -> list[tuple[date | datetime, str | None, str]]:
    """Out on 1 May, in on 25 October, every year."""
    path: list[tuple[date | datetime, str | None, str]] = [(date(2022, 10, 25), "B2", "routine")]
    for year in (2023, 2024, 2025, 2026):
        path.append((clock(date(year, 5, 1), f"09:{10 + here_from:02d}"), "P3", "outdoors"))
        path.append((clock(date(year, 10, 25), f"10:{10 + here_from:02d}"), "B2", "routine"))
    return path[:-1]


def _adults() -> list[Beast]:
    mud = ((date(2020, 3, 21), "B1", "routine"),)
    pond = ((date(2018, 5, 5), "P1", "routine"),)
    cooter = ((date(2016, 6, 4), "P2", "routine"),)
    looks = "by its looks"
    missing = _map_turtle(here_from=8)
    missing[4:4] = [
        (clock(date(2024, 7, 18), "07:50"), "P3", "missing"),
        (clock(date(2024, 7, 21), "10:20"), "P3", "found in the intake bay"),
    ]
    hospital = [stop for stop in _map_turtle(here_from=16) if stop[0] != clock(date(2025, 10, 25), "10:26")]
    hospital.insert(6, (clock(date(2025, 8, 2), "13:40"), "B2", "hospital"))
    loan = (
        *pond, (clock(date(2025, 4, 12), "10:30"), None, "loan"),
        (clock(date(2026, 4, 11), "15:00"), "Q1", "quarantine"), (clock(date(2026, 7, 11), "10:00"), "P1", "routine"),
    )  # fmt: skip
    return [
        Beast(code="BL-101", taxon=KB, sex="male", hatched=_in(2012, 1), stops=mud, sex_basis=looks, origin="unknown"),
        Beast(code="BL-102", taxon=KB, sex="female", hatched=_in(2011, 1), stops=mud, sex_basis=looks),
        Beast(code="BL-103", taxon=KB, sex="female", hatched=_in(2013, 1), stops=mud, sex_basis=looks),
        Beast(code="BL-104", taxon=EO, sex="male", hatched=_in(1999, 2), stops=loan, sex_basis=looks),
        Beast(code="BL-105", taxon=EO, sex="male", hatched=_in(2003), stops=pond, sex_basis=looks),
        Beast(code="BL-106", taxon=EO, sex="female", hatched=_in(1996, 3), stops=pond, sex_basis=looks),
        Beast(code="BL-107", taxon=EO, sex="female", hatched=_in(2001), stops=pond, sex_basis=looks),
        Beast(
            code="BL-108", taxon=EO, sex="female", hatched=(None, date(1989, 12, 31)), stops=pond, sex_basis=looks,
            origin="wild", note="Taken from the wild long before this station; papers lost.",
        ),
        Beast(code="BL-109", taxon=PR, sex="male", hatched=_in(2008), stops=cooter, sex_basis=looks),
        Beast(code="BL-110", taxon=PR, sex="female", hatched=_in(2004), stops=cooter, sex_basis=looks),
        Beast(code="BL-111", taxon=PR, sex="female", hatched=_in(2002), stops=cooter, sex_basis=looks),
        Beast(
            code="BL-112", taxon=KB, sex="female", hatched=(date(2015, 9, 1), date(2015, 9, 30)), stops=mud,
            sex_basis=looks,
        ),
        Beast(code="BL-113", taxon=GO, sex="male", hatched=_in(2014), stops=tuple(_map_turtle()), sex_basis=looks),
        Beast(code="BL-114", taxon=GO, sex="male", hatched=_in(2012), stops=tuple(missing), sex_basis=looks),
        Beast(code="BL-115", taxon=GO, sex="female", hatched=_in(2010), stops=tuple(hospital), sex_basis=looks),
        Beast(
            code="BL-116", taxon=GO, sex="female", hatched=_in(2009), stops=tuple(_map_turtle(here_from=24)),
            sex_basis=looks,
        ),
        Beast(
            code="BL-139", taxon=EO, sex="male", hatched=_in(2005), sex_basis=looks, owner="Partner D",
            stops=(
                (clock(date(2025, 9, 6), "16:00"), "Q1", "quarantine"),
                (clock(date(2026, 4, 4), "10:30"), "P1", "breeding"),
            ),
        ),
    ]  # fmt: skip


def _hatched_here() -> list[Beast]:
    beasts = []
    out_18 = (clock(date(2024, 5, 18), "11:00"), None, "gift")
    for number, (hatch_day, leaving) in enumerate(
        ((date(2023, 9, 10), (out_18,)), (date(2023, 9, 11), (out_18,)), (date(2023, 9, 14), ())), start=117
    ):
        beasts.append(
            _hatchling(number, KB, hatch_day, "C1", dam="BL-103", sire="BL-101", certainty="certain", then=leaving)
        )
    out_24 = (clock(date(2025, 5, 24), "11:00"), None, "gift")
    died_24 = (clock(date(2024, 9, 30), "15:30"), None, "death")
    for number, then in ((127, (out_24,)), (128, (out_24,)), (129, (died_24,)), (130, ())):
        beasts.append(
            _hatchling(
                number, EO, date(2024, 8, number - 114), "C2", dam="BL-107", sire="BL-104 BL-105",
                certainty="dam certain, sire one of two", then=then,
            )
        )  # fmt: skip
    died_25 = (clock(date(2025, 9, 11), "07:55"), None, "death")
    out_26 = (clock(date(2026, 5, 23), "11:00"), None, "gift")
    for number in range(134, 139):
        then = {135: (out_26,), 136: (out_26,), 137: (died_25,)}.get(number, ())
        moved = (clock(date(2025, 8, 30), f"10:{number - 94}"), "T1", "routine")
        beasts.append(
            _hatchling(
                number, PR, date(2025, 8, number - 116), "C4", dam="BL-111", sire="BL-109", certainty="certain",
                then=(moved, *then),
            )
        )  # fmt: skip
    for number, hatch_day in ((140, date(2026, 2, 14)), (141, date(2026, 2, 17))):
        beasts.append(_hatchling(number, KB, hatch_day, "C5", dam="BL-102", sire="BL-101", certainty="certain"))
    return beasts


def _hatchling(
    number: int, taxon: str, day: date, clutch: str, *, dam: str, sire: str, certainty: str,
    then: tuple[tuple[date | datetime, str | None, str], ...] = (),
) -> Beast:  # fmt: skip
    return Beast(
        code=f"BL-{number}", taxon=taxon, sex="unknown", hatched=(day, day), origin="here", dam=dam, sire=sire,
        certainty=certainty, clutch=clutch, stops=((clock(day, "09:30"), "G1", "routine"), *then),
    )  # fmt: skip


def _program() -> list[Beast]:
    beasts = []
    for number in range(120, 126):
        stops: list[tuple[date | datetime, str | None, str]] = [(clock(date(2023, 9, 16), "15:00"), "Q1", "quarantine")]
        if number == 123:
            stops.append((clock(date(2023, 10, 26), "08:05"), None, "death"))
        else:
            moved = clock(date(2025, 6, 28), "10:15") if number == 124 else clock(date(2024, 6, 22), "14:10")
            stops += [(clock(date(2023, 12, 20), "10:30"), "T1", "routine"), (moved, "P4", "outdoors")]
        beasts.append(
            Beast(
                code=f"BL-{number}", taxon=SM, sex="unknown", hatched=_on(2023, 8, 12, 5), dam="D17", sire="S04",
                certainty="given by the program", program_number=f"SM-23{number - 119:02d}",
                owner="Loggerhead musk program", stops=tuple(stops),
            )
        )  # fmt: skip
    for number in range(131, 134):
        moved = clock(date(2026, 6, 27), "10:15") if number == 133 else clock(date(2025, 6, 28), "10:15")
        beasts.append(
            Beast(
                code=f"BL-{number}", taxon=SM, sex="unknown", hatched=_on(2024, 8, 25, 4), dam="D22", sire="S04",
                certainty="given by the program", program_number=f"SM-24{number - 120:02d}",
                owner="Loggerhead musk program",
                stops=(
                    (clock(date(2024, 9, 21), "14:30"), "Q1", "quarantine"),
                    (clock(date(2024, 12, 21), "10:30"), "T2", "routine"),
                    (moved, "P4", "outdoors"),
                ),
            )
        )  # fmt: skip
    return beasts


BEASTS: dict[str, Beast] = {
    beast.code: beast for beast in sorted([*_adults(), *_hatched_here(), *_program()], key=lambda beast: beast.code)
}


@dataclass(frozen=True, kw_only=True)
class Spell:
    """One stay, from and to a moment (to None: still there)."""

    animal: str
    enclosure: str
    start: date | datetime
    end: date | datetime | None
    reason: str

    def covers(self, moment: datetime) -> bool:
        return _moment(self.start) <= moment and (self.end is None or moment < _moment(self.end))


def _moment(when: date | datetime) -> datetime:
    return when if isinstance(when, datetime) else clock(when, "12:00")


def spells() -> list[Spell]:
    found = []
    for beast in BEASTS.values():
        for n, (start, place, reason) in enumerate(beast.stops):
            end = beast.stops[n + 1][0] if n + 1 < len(beast.stops) else None
            if place is not None:
                found.append(Spell(animal=beast.code, enclosure=place, start=start, end=end, reason=reason))
    return found


def animal_tables() -> Tables:
    return {
        "taxa": [
            row(
                taxon=name, author=author, common_name=common, feeding_stops_below_c=stop, is_skin_sensitive=skin,
                brumates=winter, refusal_days=refusal,
            )
            for name, author, common, stop, skin, winter, refusal in _TAXA
        ],
        "animals": [_animal(beast) for beast in BEASTS.values()],
        "marks": [mark for beast in BEASTS.values() for mark in _marks(beast)],
        "stays": [_stay(spell) for spell in spells()],
        "transfers": _transfers(),
        "deaths": _deaths(),
    }  # fmt: skip


def _animal(beast: Beast) -> Row:
    return row(
        animal=beast.code, taxon=beast.taxon, sex=beast.sex, sex_basis=beast.sex_basis, hatched_from=beast.hatched[0],
        hatched_to=beast.hatched[1], origin=beast.origin, dam_candidates=beast.dam, sire_candidates=beast.sire,
        parent_certainty=beast.certainty, clutch=beast.clutch, program=PROGRAM if beast.program_number else "",
        program_number=beast.program_number, owner=beast.owner, held_by=STATION, merged_into="", note=beast.note,
    )  # fmt: skip


def _marks(beast: Beast) -> list[Row]:
    number = int(beast.code.removeprefix("BL-"))
    first = beast.stops[0][0]
    known = first if not isinstance(first, datetime) else first.date()
    if beast.sex != "unknown":
        left, right = "ABCHIJKLMN"[number % 10], "ABCHIJKLMN"[(number // 10 + number) % 10]
        return [
            row(animal=beast.code, kind="shell notch", scheme=NOTCH_SCHEME, value=f"{left}{right}-{number % 7 + 1}",
                applied_on=known),
            row(animal=beast.code, kind="microchip", scheme="15 digits", value=f"9990000{number * 7919:08d}",
                applied_on=known),
        ]  # fmt: skip
    paint = ("white", "yellow", "orange", "pink", "blue", "green")[number % 6]
    marks = [
        row(animal=beast.code, kind="photo set", scheme="plastron and carapace", value=f"{beast.code} set 1",
            applied_on=known),
        row(animal=beast.code, kind="paint", scheme="one dot, third vertebral", value=paint, applied_on=known),
    ]  # fmt: skip
    if beast.program_number:
        marks.append(row(animal=beast.code, kind="program number", scheme=PROGRAM, value=beast.program_number))
    return marks


def _stay(spell: Spell) -> Row:
    begun = _moment(spell.start)
    ended = _moment(spell.end) if spell.end else None
    at_start = clock(FIRST_DAY, "12:00")
    return row(
        animal=spell.animal,
        enclosure=spell.enclosure,
        from_at=stamp(spell.start) if isinstance(spell.start, datetime) else spell.start,
        to_at=stamp(ended) if ended else "",
        reason=spell.reason,
        entered_at=stamp(max(begun, at_start)),
        entered_by="SUP",
        ended_entered_at=stamp(ended) if ended else "",
    )


# animals, when, direction, kind, counterpart, permit, due back, terms
_TRANSFERS = (
    (range(120, 126), clock(date(2023, 9, 16), "15:00"), "in", "gift", "Program rearing station", "MN-23-041", None,
     "Owned by the program; head-start here."),
    ((117, 118), clock(date(2024, 5, 18), "11:00"), "out", "gift", "Partner B", "MN-24-017", None, ""),
    (range(131, 134), clock(date(2024, 9, 21), "14:30"), "in", "gift", "Program rearing station", "MN-24-052", None,
     "Owned by the program; head-start here."),
    ((104,), clock(date(2025, 4, 12), "10:30"), "out", "loan_out", "Partner A", "MN-25-009", date(2026, 4, 12),
     "Breeding loan; every second hatchling comes back."),
    ((127, 128), clock(date(2025, 5, 24), "11:00"), "out", "gift", "Partner C", "MN-25-020", None,
     "Under four inches of shell: buyers and pet keepers may not be given such small turtles in some places."),
    ((139,), clock(date(2025, 9, 6), "16:00"), "in", "loan_in", "Partner D", "MN-25-044", date(2027, 9, 6),
     "Breeding loan."),
    ((104,), clock(date(2026, 4, 11), "15:00"), "in", "return", "Partner A", "MN-26-011", None, ""),
    ((135, 136), clock(date(2026, 5, 23), "11:00"), "out", "gift", "Partner C", "MN-26-023", None, ""),
)  # fmt: skip


def _transfers() -> list[Row]:
    return [
        event(
            "transfer", number, at.date(), at=at, by="SUP", how="form", animal=f"BL-{number}", direction=direction,
            kind=kind, counterpart=other, permit=permit, due_back_on=due, terms=terms,
        )
        for numbers, at, direction, kind, other, permit, due, terms in _TRANSFERS
        for number in numbers
    ]  # fmt: skip


def _deaths() -> list[Row]:
    told = (
        ("BL-123", clock(date(2023, 10, 26), "08:05"), date(2023, 10, 25), "Found dead in the rack, head under water.",
         2.6, True, "Retained yolk; gut empty.", "freezer, tissue kept for the program", "yolk"),
        ("BL-129", clock(date(2024, 9, 30), "15:30"), date(2024, 9, 30), "Prolapse; put to sleep by the veterinarian.",
         5.4, True, "Prolapse, no infection found.", "incinerated", "prolapse"),
        ("BL-137", clock(date(2025, 9, 11), "07:55"), date(2025, 9, 10), "Found dead under the basking board.",
         8.3, None, "", "freezer", "not known yet"),
    )  # fmt: skip
    return [
        event(
            "death", code, at=at, by="SUP", how="form", animal=code, last_alive_on=alive, circumstances=what,
            mass_g=mass, necropsy=necropsy, result=result, carcass_to=carcass, cause_class=cause,
        )
        for code, at, alive, what, mass, necropsy, result, carcass, cause in told
    ]  # fmt: skip
