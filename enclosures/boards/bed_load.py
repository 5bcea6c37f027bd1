"""Load on the bed: turtles, feed, the ammonia that comes of it, and what the bed can take. Secondary to the void, and very rough."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from enclosures.boards.entry_words import grams
from enclosures.estimates.coefficients import default
from enclosures.estimates.media import MEDIA, layer_volume_m3
from enclosures.estimates.nitrification import (
    areal_rate_monod,
    bed_ability_g_per_day,
    load_share,
    temperature_factor,
)
from enclosures.estimates.nitrogen import tan_g_per_day, tan_range_g_per_day
from enclosures.estimates.units import quantity, quantity_range
from enclosures.evidence.meals import SUMMED_DAYS, Meals
from enclosures.evidence.now import EnclosureNow, load_enclosure_now
from enclosures.evidence.stock import Residents, hatched_on
from enclosures.evidence.waters import Waters
from enclosures.forecast.inputs import FeedPortion
from enclosures.models import Enclosure, FilterBuild, MediaLayer
from enclosures.verdicts.limits import LIMITS
from enclosures.verdicts.words import kept_together, rounded

JUDGED_AT_TAN_MG_L = 0.5  # the reading at which one looks
GROWING_DAYS = 4 * 365  # younger turtles keep a part of what they eat: common practice, no source
_, LONG_DAYS, SHORT_DAYS = SUMMED_DAYS
EASY_UNDER, WATCH_UNDER = 0.5, 1.0
SHARE_WORDS = ((0.15, "a little"), (0.3, "about a quarter"), (0.42, "about two fifths"), (0.58, "about half"))
MORE_SHARE_WORDS = ((0.72, "about two thirds"), (0.86, "about four fifths"), (1.0, "nearly all"))


@dataclass(frozen=True, kw_only=True, slots=True)
class LoadFact:
    term: str
    value: str
    remark: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class BedLoad:
    """`share` is load over ability, None where one of them is not known."""

    facts: tuple[LoadFact, ...]
    share: float | None
    is_fed: bool


def build_bed_load(
    *, enclosure: Enclosure, builds: tuple[FilterBuild, ...], today: date, known: EnclosureNow | None = None
) -> BedLoad:
    """`builds` are those in force today of the filters with a void; layers prefetched. No query with `known`, else a fixed number."""
    known = known or load_enclosure_now(enclosure, today=today)
    meals, residents, waters = known.meals, known.residents, known.waters
    protein = _per_day(meals, today, LONG_DAYS, of="protein_g")
    k = default("k_tan_growing") if _is_growing(residents, today) else default("k_tan_adult")
    load_g = tan_g_per_day(protein, k=k)
    low, high = tan_range_g_per_day(protein, k=k)
    temp_c = water_now_c(waters, enclosure=enclosure, today=today)
    ability_g = bed_ability_g(builds, temp_c=temp_c)
    share = load_share(load_g_per_day=load_g, ability_g_per_day=ability_g) if ability_g else None
    facts = [
        _turtles(residents, enclosure, builds),
        _feed(meals, today),
        LoadFact(
            term="Ammonia from it",
            value=_a_day(load_g, "g", "N") if load_g else "none",
            remark=f"likely {quantity_range(low, high, '')}".strip() if load_g else "",
        ),
        _ability(builds, ability_g, temp_c),
    ]
    if share is not None:
        facts.append(LoadFact(term="So far", value=share_words(share), remark=what_tests_show(share, waters, today)))
    return BedLoad(facts=tuple(facts), share=share, is_fed=bool(load_g))


def bed_ability_g(builds: tuple[FilterBuild, ...], *, temp_c: float) -> float | None:
    """What the beds can nitrify at TAN 0.5 mg/L and this temperature, g N a day; None without media on record."""
    layers = [(layer, build) for build in builds for layer in build.layers.all()]
    surfaces = [surface_m2_m3(layer) for layer, _ in layers]
    if not layers or None in surfaces:
        return None
    rate = areal_rate_monod(JUDGED_AT_TAN_MG_L)
    return sum(
        bed_ability_g_per_day(
            media_m3=layer_volume_m3(area_m2=build.chamber_area_m2, depth_mm=layer.depth_mm),
            specific_surface_m2_m3=surface,
            areal_rate=rate,
            temp_c=temp_c,
        )
        for (layer, build), surface in zip(layers, surfaces, strict=True)
        if surface is not None
    )


def surface_m2_m3(layer: MediaLayer) -> float | None:
    """The layer's own figure, else that of the nearest grade of its material; None for a material with no figure."""
    if layer.area_m2_per_m3 is not None:
        return layer.area_m2_per_m3
    material = {"mat": "koi_mat"}.get(layer.material, layer.material)
    known = [medium for key, medium in MEDIA.items() if key.startswith(material)]
    if not known:
        return None
    ends = [end for end in (layer.grade_min_mm, layer.grade_max_mm) if end is not None]
    grain = sum(ends) / len(ends) if ends else 30.0
    return min(known, key=lambda medium: abs(medium.grain_mm - grain)).surface_m2_m3


def water_now_c(waters: Waters, *, enclosure: Enclosure, today: date) -> float:
    """The last fortnight's readings, else what is usual for the month or the room."""
    if waters.now_c is not None:
        return waters.now_c
    facility = enclosure.facility
    return facility.room_temp_c if enclosure.indoor else float(facility.monthly_temp_c[today.month - 1])


def share_words(share: float) -> str:
    """'about half: easy', 'nearly all: watch', 'more than it can: likely to show'."""
    said = next((words for end, words in (*SHARE_WORDS, *MORE_SHARE_WORDS) if share < end), "")
    if share < EASY_UNDER:
        return f"{said}: easy"
    if share < WATCH_UNDER:
        return f"{said}: watch"
    return (
        "more than it can take: likely to show"
        if share < 2
        else f"{rounded(share)} times what it can take: likely to show"
    )


def what_tests_show(share: float, waters: Waters, today: date) -> str:
    """Figures of fish ponds say the bed is past its best, the tests of these weeks do not: say both in one place."""
    if share < WATCH_UNDER:
        return ""
    lately = [
        sign for sign in waters.signs if sign.analyte in ("tan", "nitrite") and 0 <= (today - sign.on).days <= LONG_DAYS
    ]
    is_shown = any(LIMITS[sign.analyte].level(sign.value, sign.qualifier) in ("look", "act") for sign in lately)
    return "the water tests of these four weeks show none of it" if lately and not is_shown else ""


def _per_day(meals: Meals, today: date, days: int, *, of: str) -> float:
    recent: list[FeedPortion] = [p for p in meals.portions if p.on > today - timedelta(days=days)]
    return sum(getattr(portion, of) for portion in recent) / days


def _is_growing(residents: Residents, today: date) -> bool:
    """More than half of those here are young."""
    born = [hatched_on(animal) for animal in residents.present]
    young = [day for day in born if day is not None and (today - day).days < GROWING_DAYS]
    return bool(born) and len(young) * 2 > len(born)


def _turtles(residents: Residents, enclosure: Enclosure, builds: tuple[FilterBuild, ...]) -> LoadFact:
    if not residents.present:
        return LoadFact(term="Turtles", value="none here now")
    if residents.stock_kg is None:
        return LoadFact(term="Turtles", value=f"{len(residents.present)}, not weighed")
    kg = residents.stock_kg
    mass = quantity(kg, "kg") if kg >= 1 else grams(kg * 1000)
    density = kg / (enclosure.water_volume_l / 1000)
    area = sum(build.chamber_area_m2 for build in builds)
    per_area = f"; {quantity(kg / area, 'kg')} per m² of filter" if area else ""
    weighed = sum(animal.pk in residents.latest_g for animal in residents.present)
    missing = f"; {len(residents.present) - weighed} never weighed" if weighed < len(residents.present) else ""
    return LoadFact(term="Turtles", value=mass, remark=f"{quantity(density, 'kg')} per m³ of water{per_area}{missing}")


def _feed(meals: Meals, today: date) -> LoadFact:
    long, short = (_per_day(meals, today, days, of="dry_g") for days in (LONG_DAYS, SHORT_DAYS))
    if not long and not short:
        return LoadFact(term=f"Feed, {LONG_DAYS} days", value="none on record")
    remark = f"last {SHORT_DAYS} days {grams(short)}"
    if meals.n_repeats_left_out:
        remark += "; possible repeats counted once"
    if meals.assumed_share > 0.2:
        remark += "; partly from foods without a recipe"
    return LoadFact(term=f"Feed, {LONG_DAYS} days", value=_a_day(long, "g", "dry"), remark=kept_together(remark))


def _ability(builds: tuple[FilterBuild, ...], ability_g: float | None, temp_c: float) -> LoadFact:
    if not builds:
        return LoadFact(term="Bed can take", value="not known", remark="there is no bed with measures on record")
    if ability_g is None:
        return LoadFact(term="Bed can take", value="not known", remark="its media are not on record")
    best = temperature_factor(temp_c)
    of_best = "at its best" if best > 0.93 else f"{_of_best_words(best)} its best"
    return LoadFact(
        term="Bed can take",
        value=f"about {_a_day(ability_g, 'g', 'N')}",
        remark=kept_together(f"at {rounded(temp_c)} °C, {of_best}; fish values, within a factor of three"),
    )


def _of_best_words(share: float) -> str:
    for end, words in ((0.2, "a little of"), (0.38, "a third of"), (0.58, "half"), (0.72, "two thirds of")):
        if share < end:
            return words
    return "four fifths of"


def _a_day(value: float, unit: str, what: str) -> str:
    return f"{quantity(value, unit, figures=2 if value < 10 else 3)} {what} a day"
