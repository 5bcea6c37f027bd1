"""Who lives in an enclosure on a day: males, females, unknown, by taxon; from stays, never from a field on the animal."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from enclosures.evidence.stock import StayKnown
from enclosures.models import Sex, Stay, Taxon
from enclosures.verdicts.words import capital, count_words, listed


@dataclass(frozen=True, kw_only=True, slots=True)
class HeadCount:
    """`notation` is males.females.unknown, the trade's own short form."""

    males: int = 0
    females: int = 0
    unknown: int = 0

    @property
    def total(self) -> int:
        return self.males + self.females + self.unknown

    @property
    def notation(self) -> str:
        return f"{self.males}.{self.females}.{self.unknown}"

    @property
    def words(self) -> str:
        """'One male, three females', 'Seven not sexed'."""
        parts = [
            f"{count_words(n)} {one if n == 1 else many}"
            for n, one, many in (
                (self.males, "male", "males"),
                (self.females, "female", "females"),
                (self.unknown, "not sexed", "not sexed"),
            )
            if n
        ]
        return capital(", ".join(parts)) if parts else "Nobody"


@dataclass(frozen=True, kw_only=True, slots=True)
class Residents:
    """All who are there, and the count by taxon in order of their names."""

    count: HeadCount
    by_taxon: tuple[tuple[str, HeadCount], ...] = ()
    n_missing: int = 0

    @property
    def words(self) -> str:
        """'European pond turtle 1.3.0'; several taxa listed; 'no animals' when empty."""
        if not self.by_taxon:
            return "no animals"
        return listed(f"{taxon} {count.notation}" for taxon, count in self.by_taxon)


def counted(sexes: Iterable[str]) -> HeadCount:
    seen = list(sexes)
    return HeadCount(
        males=seen.count(Sex.MALE),
        females=seen.count(Sex.FEMALE),
        unknown=len(seen) - seen.count(Sex.MALE) - seen.count(Sex.FEMALE),
    )


def residents_of(stays: Iterable[Stay | StayKnown]) -> Residents:
    """From the open stays of one enclosure, with animal and taxon loaded. A stay whose reason is "missing" counts apart."""
    by_taxon: dict[Taxon, list[str]] = defaultdict(list)
    n_missing = 0
    for stay in stays:
        if stay.reason == "missing":
            n_missing += 1
            continue
        by_taxon[stay.animal.taxon].append(stay.animal.sex)
    groups = tuple(
        (str(taxon), counted(sexes)) for taxon, sexes in sorted(by_taxon.items(), key=lambda pair: str(pair[0]))
    )
    return Residents(
        count=counted(sex for sexes in by_taxon.values() for sex in sexes), by_taxon=groups, n_missing=n_missing
    )


def residents_by_enclosure(*, today: date) -> dict[int, Residents]:
    """Enclosure id -> who is there today. One query."""
    stays: dict[int, list[Stay]] = defaultdict(list)
    for stay in Stay.objects.open_now().filter(from_on__lte=today).select_related("animal", "animal__taxon"):
        stays[stay.enclosure_id].append(stay)
    return {enclosure: residents_of(found) for enclosure, found in stays.items()}
