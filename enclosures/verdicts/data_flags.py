"""Doubts about entries. Codes stay in files; pages say the sentence, and which totals a doubt touches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

Total = str  # a table or figure of the package a doubt may touch


@dataclass(frozen=True, kw_only=True, slots=True)
class FlagMeaning:
    """`one` and `many` follow the count ('1 row ...', '14 rows ...'); `effect` says what it does to the totals."""

    code: str
    one: str
    many: str
    effect: str
    touches: tuple[Total, ...]

    def words(self, n: int) -> str:
        """The sentence for a count, without the figure: 'entered more than 48 hours after.'"""
        return self.one if n == 1 else self.many

    def sentence(self, n: int) -> str:
        return f"{n} {self.words(n)}. {self.effect}"


def _f(code: str, one: str, many: str, effect: str, *touches: Total) -> FlagMeaning:
    return FlagMeaning(code=code, one=one, many=many, effect=effect, touches=touches)


FLAGS: Mapping[str, FlagMeaning] = {
    flag.code: flag
    for flag in (
        _f("LATE", "entered more than 48 hours after", "entered more than 48 hours after",
           "Times are as noted then; totals stand."),
        _f("MEM", "written from memory", "written from memory",
           "Counted in full.", "diet_summary", "feedings"),
        _f("UNIT", "converted from another unit at entry", "converted from another unit at entry",
           "The typed figure is in the note; totals use the converted one."),
        _f("KIT", "kit's basis was changed later", "kit's basis was changed later",
           "Values were worked out anew; the raw readings stand.", "water_summary"),
        _f("BASE", "reading without what it is expressed as", "readings without what they are expressed as",
           "The raw value is kept; no mg/L is worked out.", "water_summary"),
        _f("LIM", "reading beyond the kit", "readings beyond the kit",
           "Counted as “at least” or “at most”; medians stand, means are not given.", "water_summary"),
        _f("DUP", "meal may be there twice", "meals may be there twice",
           "Counted once until a person decides.", "diet_summary", "filter_summary"),
        _f("DBL", "dose may be there twice", "doses may be there twice",
           "Both stand until a person decides.", "doses"),
        _f("CLK", "time corrected for a wrong clock", "times corrected for a wrong clock",
           "No total changes unless a day changed."),
        _f("EST", "amount or date is an estimate", "amounts or dates are estimates",
           "Ages and sums are given as ranges.", "animals", "diet_summary"),
        _f("GAP", "longer gap than expected with animals present", "longer gaps than expected with animals present",
           "Nothing is filled in; averages say on how many days they stand.", "diet_summary", "water_summary"),
        _f("PAR", "animal with an uncertain parent", "animals with an uncertain parent",
           "All candidates are listed.", "animals", "clutches"),
        _f("SEX", "sex known from incubation temperature only", "sexes known from incubation temperature only",
           "Counted as unknown until seen.", "inventory_asof", "animals"),
        _f("ID", "identifier in conflict or merged", "identifiers in conflict or merged",
           "Both identifiers lead to one animal.", "animals", "inventory_asof"),
        _f("GEO", "place without a void to measure", "places without a void to measure",
           "No filter figures for it.", "filter_summary"),
        _f("CMP", "feeding of a food without composition", "feedings of foods without composition",
           "A usual value of the food's class stands in.", "diet_summary", "filter_summary"),
        _f("IMP", "brought in from a file", "brought in from a file",
           "Checked on the way in; totals stand."),
        _f("OUT", "unusual value, confirmed by a person", "unusual values, confirmed by a person",
           "Counted as entered."),
        _f("NEG", "growth that cannot be", "growths that cannot be",
           "The weights stand; the rate is left out.", "growth_summary"),
        _f("STK", "day on which the count did not match", "days on which the count did not match",
           "The list follows the stays, not the count.", "inventory_asof"),
        _f("SAME", "reading equal to the two before it", "readings equal to the two before them",
           "Counted as entered.", "water_summary", "filter_summary"),
    )
}  # fmt: skip


def meaning(code: str) -> FlagMeaning:
    """The meaning of a code; an unknown one (from a file) is said to be unknown rather than hidden."""
    known = FLAGS.get(code)
    if known is not None:
        return known
    text = f"marked “{code}”, which is not a mark we know"
    return FlagMeaning(code=code, one=text, many=text, effect="Totals stand.", touches=())


@dataclass(frozen=True, kw_only=True, slots=True)
class FlagCount:
    code: str
    n: int
    words: str
    effect: str
    touches: tuple[Total, ...]


def counted(codes: Iterable[str]) -> tuple[FlagCount, ...]:
    """Doubts by number, most first, for the first page of a package."""
    tally: dict[str, int] = {}
    for code in codes:
        tally[code] = tally.get(code, 0) + 1
    rows = []
    for code, n in sorted(tally.items(), key=lambda pair: (-pair[1], pair[0])):
        flag = meaning(code)
        rows.append(FlagCount(code=code, n=n, words=flag.words(n), effect=flag.effect, touches=flag.touches))
    return tuple(rows)
