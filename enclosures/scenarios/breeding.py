"""Clutches and their eggs: five seasons' worth, one of them dug out by a predator, one still in the incubator."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from enclosures.scenarios.animals import BEASTS, EO, KB, PR
from enclosures.scenarios.rows import Row, Tables, clock, row, stamp, stream


@dataclass(frozen=True, kw_only=True)
class Nest:
    code: str
    taxon: str
    dam: str
    sire: str
    laid_on: date | None
    found_on: date
    place: str
    temp_c: float | None
    egg: tuple[float, float, float]  # g, mm long, mm wide
    fates: tuple[tuple[str, date | None], ...]  # outcomes of the eggs that did not hatch
    note: str = ""
    n_eggs: int | None = None


NESTS = (
    Nest(code="C1", taxon=KB, dam="BL-103", sire="BL-101", laid_on=date(2023, 5, 27), found_on=date(2023, 5, 27),
         place="land part of B1", temp_c=28, egg=(4.6, 29.0, 17.2), fates=()),
    Nest(code="C2", taxon=EO, dam="BL-107", sire="BL-104 BL-105", laid_on=date(2024, 6, 8), found_on=date(2024, 6, 8),
         place="sand bank at P1", temp_c=28.5, egg=(9.4, 34.0, 21.0),
         fates=(("infertile", date(2024, 7, 1)), ("infertile", date(2024, 7, 1)), ("died_late", date(2024, 8, 20))),
         note="Two males were in the pond: the sire is one of the two."),
    Nest(code="C3", taxon=EO, dam="BL-106", sire="BL-104 BL-105", laid_on=None, found_on=date(2025, 6, 3),
         place="sand bank at P1", temp_c=None, egg=(0, 0, 0), fates=(("lost", date(2025, 6, 3)),) * 5, n_eggs=5,
         note="Dug out by a predator; at least five shells."),
    Nest(code="C4", taxon=PR, dam="BL-111", sire="BL-109", laid_on=date(2025, 6, 14), found_on=date(2025, 6, 14),
         place="bank at P2", temp_c=29, egg=(13.2, 38.5, 24.0),
         fates=(("infertile", date(2025, 7, 5)),) * 4 + (("died_mid", date(2025, 7, 19)),) * 2,
         note="Incubator down to 22.5 °C for nine hours in the power cut."),
    Nest(code="C5", taxon=KB, dam="BL-102", sire="BL-101", laid_on=date(2025, 9, 12), found_on=date(2025, 9, 12),
         place="land part of B1", temp_c=28, egg=(4.4, 28.6, 17.0), fates=(("infertile", date(2026, 2, 20)),),
         note="Striped mud eggs may pause for weeks before they develop: do not give them up early."),
)  # fmt: skip


def breeding_tables() -> Tables:
    return {"clutches": [_clutch(nest) for nest in NESTS], "eggs": [egg for nest in NESTS for egg in _eggs(nest)]}


def _hatched(nest: Nest) -> list[tuple[str, date]]:
    return [
        (code, beast.hatched[0]) for code, beast in BEASTS.items() if beast.clutch == nest.code and beast.hatched[0]
    ]


def _clutch(nest: Nest) -> Row:
    return row(
        clutch=nest.code, taxon=nest.taxon, dam_candidates=nest.dam, sire_candidates=nest.sire, laid_on=nest.laid_on,
        found_on=nest.found_on, place=nest.place, n_eggs=nest.n_eggs or len(_hatched(nest)) + len(nest.fates),
        incubation_temp_c=nest.temp_c, entered_at=stamp(clock(nest.found_on, "19:20")), entered_by="SUP",
        note=nest.note,
    )  # fmt: skip


def _eggs(nest: Nest) -> list[Row]:
    fates: list[tuple[str, date | None, str]] = [("hatched", day, code) for code, day in _hatched(nest)]
    fates += [(outcome, day, "") for outcome, day in nest.fates]
    mass, length, width = nest.egg
    rows = []
    for number, (outcome, day, code) in enumerate(fates, start=1):
        draw = stream("egg", nest.code, number)
        rows.append(
            row(
                clutch=nest.code, number=number,
                mass_g=round(draw.gauss(mass, mass * 0.05), 1) if mass else None,
                length_mm=round(draw.gauss(length, length * 0.02), 1) if mass else None,
                width_mm=round(draw.gauss(width, width * 0.015), 1) if mass else None,
                outcome=outcome, outcome_on=day, animal=code,
            )
        )  # fmt: skip
    return rows
