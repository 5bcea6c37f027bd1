"""One enclosure: its filters and how full they are, the load on them, the water, what was done lately, who lives there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch

from enclosures.boards.bed_load import BedLoad, build_bed_load
from enclosures.boards.entries import FIRST_SHOWN, Change, Entries, build_entries, nothing
from enclosures.boards.entry_words import mass_words
from enclosures.boards.fill_history import FillHistory, build_fill_history
from enclosures.boards.filter_state import FilterState, build_filter_state
from enclosures.boards.how_the_water_is import WaterBoard, build_how_the_water_is
from enclosures.boards.stored_outlook import due_fill_of, stored_outlook
from enclosures.boards.track_record import load_record_lines
from enclosures.boards.who_lives_here import Residents, residents_of
from enclosures.estimates.units import recorded_quantity
from enclosures.evidence.now import load_enclosure_now
from enclosures.evidence.stock import StayKnown
from enclosures.forecast.inputs import WeightSeen
from enclosures.models import (
    Enclosure,
    EnclosureKind,
    Filter,
    FilterBuild,
    FilterKind,
    LoggedRecord,
    PumpFitting,
    Season,
    Sex,
)
from enclosures.verdicts.cautions import Caution, cautions_for
from enclosures.verdicts.windows import is_nesting_season
from enclosures.verdicts.words import ago_words, capital, day_words, kept_together

SEASONS_SHOWN = 5
SEX_WORDS = {Sex.MALE: "male", Sex.FEMALE: "female", Sex.UNKNOWN: "not sexed"}


@dataclass(frozen=True, kw_only=True, slots=True)
class AnimalLine:
    code: str
    taxon: str
    sex: str
    mass: str
    weighed: str
    since: str
    is_missing: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class SeasonLine:
    what: str
    when: str
    is_now: bool
    is_rest: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class EnclosureDashboard:
    code: str
    name: str
    about: str
    filters: tuple[FilterState, ...]
    histories: tuple[FillHistory, ...]
    unmeasured: tuple[str, ...]  # upflow filters without any measures in force
    without_void: tuple[str, ...]  # "Q1-F, sponge"
    load: BedLoad
    water: WaterBoard
    entries: Entries
    animals: tuple[AnimalLine, ...]
    seasons: tuple[SeasonLine, ...]
    cautions: tuple[Caution, ...]

    @property
    def has_filter(self) -> bool:
        return bool(self.filters or self.unmeasured or self.without_void)

    @property
    def is_alone(self) -> bool:
        return len(self.filters) == 1

    @property
    def is_fed_now(self) -> bool:
        """Somebody lives here, and it is no time of rest."""
        return bool(self.animals) and not any(season.is_now and season.is_rest for season in self.seasons)

    @property
    def may_feed(self) -> bool:
        """Also where nobody is on record, unless that is because the place rests: a facility may keep its animals elsewhere."""
        return bool(self.animals) or not any(season.is_now and season.is_rest for season in self.seasons)

    @property
    def wants_emptying(self) -> str:
        """Code of the first filter that is due, empty when none is."""
        return next((state.code for state in self.filters if state.wants_emptying), "")


def filters_of(enclosure: Enclosure, *, today: date) -> list[Filter]:
    """Its filters in use, with their stored answers and all the drawing needs. Five queries."""
    builds = FilterBuild.objects.prefetch_related("layers")
    fittings = PumpFitting.objects.select_related("pump")
    return list(
        enclosure.filters.in_use_on(today)  # type: ignore[attr-defined]
        .with_place()
        .select_related("outlook")
        .prefetch_related(Prefetch("builds", builds), Prefetch("pump_fittings", fittings))
    )


def build_enclosure_dashboard(
    *,
    enclosure: Enclosure,
    filters: list[Filter],
    today: date,
    shown: int = FIRST_SHOWN,
    may: Callable[[LoggedRecord], Change] = nothing,
    shows_restricted: bool = False,
) -> EnclosureDashboard:
    """`filters` as `filters_of` gives them, their answers no older than the last record."""
    with_void = [each for each in filters if each.kind == FilterKind.UPFLOW]
    measured = [each for each in with_void if each.build_on(today) is not None]
    now = load_enclosure_now(enclosure, filters=measured, today=today)
    records = load_record_lines(measured)
    states, histories = [], []
    for each in measured:
        found = now.filters[each.pk]
        states.append(
            build_filter_state(
                each=each, known=found, enclosure=enclosure, today=today, record=records.get(each.pk, "")
            )
        )
        due_fill = due_fill_of(stored_outlook(each), each.build_on(today), usual=enclosure.facility.default_due_fill)
        histories.append(
            build_fill_history(
                key=f"fill-{each.pk}",
                code=each.code,
                known=found,
                stored=stored_outlook(each),
                due_fill=due_fill,
                today=today,
            )
        )
    stays = [stay for stay in now.residents.stays if stay.to_on is None]
    seasons = list(Season.objects.filter(enclosure=enclosure).order_by("-from_on")[:SEASONS_SHOWN])
    return EnclosureDashboard(
        code=enclosure.code,
        name=enclosure.name or capital(enclosure.get_kind_display()),
        about=about_words(enclosure, residents_of(stays), seasons, today=today),
        filters=tuple(states),
        histories=tuple(histories),
        unmeasured=tuple(each.code for each in with_void if each not in measured),
        without_void=tuple(f"{each.code}, {each.get_kind_display()}" for each in filters if each not in with_void),
        load=build_bed_load(
            enclosure=enclosure,
            builds=tuple(build for build in (each.build_on(today) for each in measured) if build is not None),
            today=today,
            known=now,
        ),
        water=build_how_the_water_is(enclosure=enclosure, today=today),
        entries=build_entries(
            enclosure=enclosure, today=today, shown=shown, may=may, shows_restricted=shows_restricted
        ),
        animals=_animals(stays, now.residents.weights, today=today),
        seasons=tuple(_season_line(season, today=today) for season in seasons),
        cautions=_cautions(enclosure, states, today=today),
    )


def about_words(enclosure: Enclosure, residents: Residents, seasons: list[Season], *, today: date) -> str:
    """'Outdoor pond, 7 800 L, 14 m². One male, three females (1.3.0). In winter rest since 2 Nov.'"""
    where = "Indoor" if enclosure.indoor else "Outdoor"
    size = [recorded_quantity(enclosure.water_volume_l, "L")]
    if enclosure.surface_m2:
        size.append(recorded_quantity(enclosure.surface_m2, "m²"))
    said = [f"{where} {enclosure.get_kind_display()}, {', '.join(size)}."]
    if residents.count.total:
        said.append(f"{residents.count.words} ({residents.count.notation}).")
    elif not residents.n_missing:
        said.append("No animals here now.")
    if residents.n_missing:
        said.append("One is missing." if residents.n_missing == 1 else f"{residents.n_missing} are missing.")
    said.append(_rest_words(enclosure, seasons, today=today))
    if enclosure.closed_on and enclosure.closed_on <= today:
        said.append(f"Out of use since {day_words(enclosure.closed_on, today)}.")
    return kept_together(" ".join(part for part in said if part))


def _rest_words(enclosure: Enclosure, seasons: list[Season], *, today: date) -> str:
    now = [s for s in seasons if s.from_on <= today and (s.to_on is None or s.to_on >= today)]
    for season in now:
        if season.kind == "brumation":
            return f"In winter rest since {day_words(season.from_on, today)}: no feeding."
        if season.kind in ("drained", "resting"):
            return f"{capital(season.get_kind_display())}, since {day_words(season.from_on, today)}."
    rested = [s for s in seasons if s.kind == "brumation"]
    if rested and not enclosure.indoor:
        return f"They rest here in winter, last from {day_words(rested[0].from_on, today)}."
    return ""


def _animals(stays: list[StayKnown], weights: tuple[WeightSeen, ...], *, today: date) -> tuple[AnimalLine, ...]:
    last = {weight.animal: weight for weight in weights}
    lines = []
    for stay in sorted(stays, key=lambda stay: (str(stay.animal.taxon), stay.animal.code)):
        weighing = last.get(stay.animal.code)
        mass_g = weighing.mass_g if weighing is not None else None
        lines.append(
            AnimalLine(
                code=stay.animal.code,
                taxon=str(stay.animal.taxon),
                sex=SEX_WORDS[Sex(stay.animal.sex)],
                mass=mass_words(mass_g) if mass_g is not None else "never weighed",
                weighed=kept_together(ago_words(weighing.on, today)) if weighing is not None else "",
                since=kept_together(day_words(stay.from_on, today)),
                is_missing=stay.reason == "missing",
            )
        )
    return tuple(lines)


def _season_line(season: Season, *, today: date) -> SeasonLine:
    what = {"brumation": "winter rest"}.get(season.kind, season.get_kind_display())
    first = day_words(season.from_on, today)
    when = f"{first} to {day_words(season.to_on, today)}" if season.to_on else f"since {first}"
    is_now = season.from_on <= today and (season.to_on is None or season.to_on >= today)
    return SeasonLine(what=capital(what), when=kept_together(when), is_now=is_now, is_rest=season.kind != "active")


def _cautions(enclosure: Enclosure, states: list[FilterState], *, today: date) -> tuple[Caution, ...]:
    """What goes with the work this page calls for: a cleanout where one is due, else a reading or plain upkeep."""
    if any(state.wants_emptying for state in states):
        situation = "cleanout"
    else:
        situation = "sounding" if states else "upkeep"
    odours = [state.odour for state in states if state.odour is not None]
    temps = [state.water_temp_c for state in states if state.water_temp_c is not None]
    return cautions_for(
        situation,  # type: ignore[arg-type]
        odour=max(odours, default=None),
        has_deep_vault=enclosure.has_deep_vault,
        water_depth_mm=enclosure.depth_mm,
        water_temp_c=temps[0] if temps else None,
        is_quarantine=enclosure.kind == EnclosureKind.QUARANTINE,
        is_nesting_season=not enclosure.indoor and is_nesting_season(today, is_southern=enclosure.facility.is_southern),
    )
