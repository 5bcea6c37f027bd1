"""One entry in a line, as a keeper would say it: what was done, and what came of it.

Rows of the parts and the builds of the filter are expected to be prefetched; nothing here asks the database more than it must.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta, timezone
from typing import Any

from enclosures.estimates.units import as_recorded, recorded_quantity, with_unit
from enclosures.models import (
    Cleanout,
    Dose,
    Feeding,
    FeedingLine,
    FlowCheck,
    HealthNote,
    LoggedRecord,
    Moment,
    Outage,
    Photo,
    Reading,
    RoundCheck,
    RoundSkip,
    Sounding,
    SoundingReading,
    Upkeep,
    WaterChange,
    WaterTest,
)
from enclosures.verdicts.limits import LIMITS
from enclosures.verdicts.words import NBSP, capital, day_words, kept_together, listed, percent_words, times_words

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
DECIMALS = {
    "temperature": 1,
    "ph": 1,
    "tan": 2,
    "nitrite": 2,
    "nitrate": 0,
    "kh": 0,
    "do": 1,
    "chlorine": 2,
    "salinity": 1,
}


@dataclass(frozen=True, slots=True)
class Said:
    """`what` the entry says, `came` the smaller second line, may be empty."""

    what: str
    came: str = ""


def said(record: LoggedRecord) -> Said:
    """The line of any entry of an enclosure or filter. Raises KeyError for a kind that has none."""
    line = _SAYERS[type(record)](record)
    return Said(kept_together(capital(line.what)), kept_together(line.came))


def when_said(moment: Moment, today: date) -> str:
    """'Sat 4 Oct 07:58', by the clock it was written with; without the time where only the day is known."""
    local = moment.at.astimezone(timezone(timedelta(minutes=moment.offset_min)))
    day = f"{WEEKDAYS[moment.on.weekday()]} {day_words(moment.on, today)}"
    return kept_together(day if moment.precision == "day" else f"{day} {local:%H:%M}")


def food_words(line: FeedingLine) -> str:
    """'adult pellet 12 g', 'earthworm 3 pieces'."""
    head, _, kind = str(line.food_item).partition(", ")  # "Bloodworm, frozen" is said "frozen bloodworm"
    name = f"{kind} {head.lower()}" if kind else head
    name = name if name[1:2].isupper() else name[:1].lower() + name[1:]
    if line.unit and line.amount is not None and line.unit != "g":
        many = "" if line.amount <= 1 or line.unit.endswith("s") else "es" if line.unit.endswith(("ch", "x")) else "s"
        return f"{name} {amount_words(line.amount)}{NBSP}{line.unit}{many}"
    return f"{name} {grams(line.offered_g)}"


FRACTIONS = {0.125: "⅛", 0.25: "¼", 0.375: "⅜", 0.5: "½", 0.625: "⅝", 0.75: "¾", 0.875: "⅞"}


def amount_words(amount: float) -> str:
    """Halves, quarters and half quarters as a keeper writes them: '½', '1½', '2¾', '⅜' (half of ¾ scoop)."""
    whole, share = divmod(amount, 1)
    sign = FRACTIONS.get(round(share, 3))
    return as_recorded(amount) if sign is None else f"{int(whole) or ''}{sign}"


def grams(value_g: float) -> str:
    """Grams to a tenth under ten, whole above: a scale says no more."""
    return recorded_quantity(round(value_g, 1 if value_g < 10 else 0), "g")


def mass_words(mass_g: float) -> str:
    """An animal's mass as a scale says it, the same on every page: to a tenth under 100 g, whole above."""
    return recorded_quantity(round(mass_g, 1 if mass_g < 100 else 0), "g")


def reading_words(reading: Reading) -> str:
    """'TAN < 0.05 mg/L as N', 'Water 14.4 °C': on the page's basis; as read, with its own basis, where that is not known."""
    limit = LIMITS.get(reading.analyte)
    label = limit.label if limit else reading.get_analyte_display()
    if reading.canonical is None:
        return f"{label} {sign_and(reading.qualifier, as_recorded(reading.value))} {raw_unit(reading)}".strip()
    figure = f"{reading.canonical:.{DECIMALS.get(reading.analyte, 1)}f}"
    unit = limit.unit if limit else ("g/L" if reading.analyte == "salinity" else "")
    return f"{label} {sign_and(reading.qualifier, figure)} {unit}".strip()


def raw_unit(reading: Any) -> str:
    """Unit and basis of anything that has `unit` and `expressed_as`, as they were read."""
    unit = {"degC": "°C", "degF": "°F", "pH": "", "dKH": "dKH"}.get(reading.unit, reading.unit)
    basis = reading.expressed_as.replace("NH3", "NH₃").replace("NH4", "NH₄").replace("NO2", "NO₂").replace("NO3", "NO₃")
    basis = basis.replace("CaCO3", "CaCO₃")
    return f"{unit} as {basis}" if basis and basis not in unit else unit


def sign_and(qualifier: str, figure: str) -> str:
    return f"{qualifier} {figure}" if qualifier else figure


def depths_words(readings: list[SoundingReading]) -> str:
    """'118, 121, 121 mm', 'rod at the grid', 'below the mark of 20 mm'."""
    if any(r.qualifier == ">=" for r in readings):
        return "rod at the grid"
    if any(r.qualifier == "<=" for r in readings):
        return f"below the mark of {as_recorded(max(r.depth_mm for r in readings))} mm"
    return f"{', '.join(as_recorded(r.depth_mm) for r in readings)} mm"


# One for each kind ---------------------------------------------------------------------------------------------------


def _feeding(record: Feeding) -> Said:
    lines = list(record.lines.all())
    count = f"counted {record.head_count}" if record.head_count is not None else ""
    if not lines:
        said_why = f"Not fed: {record.not_fed_reason}" if record.not_fed_reason else "Not fed"
        return Said(said_why, count)
    how = "Fed as planned" if record.outcome == "planned" else "Fed"
    eaten = {line.eaten for line in lines}
    came = [f"{line_eaten} eaten" for line_eaten in eaten] if len(eaten) == 1 and "" not in eaten else []
    if len(eaten) > 1:
        came = [f"{food_words(line)}: {line.eaten} eaten" for line in lines if line.eaten not in ("", "all")]
    if record.refused:
        came.append(f"refused by {listed(record.refused.split())}")
    if record.leftovers_removed:
        came.append("leftovers taken out")
    return Said(f"{how}: {', '.join(food_words(line) for line in lines)}", "; ".join([*came, count] if count else came))


def _water_test(record: WaterTest) -> Said:
    readings = list(record.readings.all())
    place = "" if record.place == "tank" else f" {record.get_place_display()}"
    if len(readings) == 1:
        return Said(f"{reading_words(readings[0])}{place}", _past_words(readings))
    figures = ", ".join(_figure_words(reading) for reading in readings)
    return Said(f"Water test{place}: {figures}", _past_words(readings) or "all under the look line")


def _figure_words(reading: Reading) -> str:
    """'TAN 0.09': the page says the units once."""
    limit = LIMITS.get(reading.analyte)
    label = limit.label if limit else reading.get_analyte_display()
    label = label if label[1:2].isupper() else label.lower()
    if reading.canonical is None:
        return f"{label} {sign_and(reading.qualifier, as_recorded(reading.value))} {raw_unit(reading)}, basis not noted"
    figure = sign_and(reading.qualifier, f"{reading.canonical:.{DECIMALS.get(reading.analyte, 1)}f}")
    return f"{label} {figure}" + (" °C" if reading.analyte == "temperature" else "")


def _past_words(readings: list[Reading]) -> str:
    past = []
    for reading in readings:
        limit = LIMITS.get(reading.analyte)
        if limit is None or reading.canonical is None or reading.analyte == "temperature":
            continue
        level = limit.level(reading.canonical, reading.qualifier)  # type: ignore[arg-type]
        if level in ("look", "act"):
            past.append(f"{reading_words(reading)}: {level}")
    return "; ".join(past)


def _water_change(record: WaterChange) -> Said:
    volume = record.enclosure.water_volume_l
    share = f"{percent_words(record.volume_l / volume)} of the water" if volume else ""
    return Said(
        f"Water changed, {recorded_quantity(record.volume_l, 'L')}", "; ".join(filter(None, [share, record.cause]))
    )


def _sounding(record: Sounding) -> Said:
    readings = list(record.readings.all())
    build = record.filter.build_on(record.occurred_on)
    fill = ""
    if build is not None and readings and not any(r.qualifier for r in readings):
        fill = f"{percent_words(sum(r.depth_mm for r in readings) / len(readings) / build.void_height_mm)} of the void"
    elif any(r.qualifier == ">=" for r in readings):
        fill = "full or more"
    smell = f"smell {record.get_odour_display()}" if record.odour else ""
    return Said(f"Sounding {depths_words(readings)}", "; ".join(filter(None, [fill, smell])))


def _flow_check(record: FlowCheck) -> Said:
    build = record.filter.build_on(record.occurred_on)
    what, came = [], []
    if record.flow_l_per_h is not None:
        what.append(f"flow {recorded_quantity(record.flow_l_per_h, 'L/h')}")
        if build and build.baseline_flow_l_per_h:
            came.append(f"{percent_words(record.flow_l_per_h / build.baseline_flow_l_per_h)} of baseline")
    if record.head_difference_mm is not None:
        what.append(f"head difference {recorded_quantity(record.head_difference_mm, 'mm')}")
        if build and build.baseline_head_mm:
            came.append(times_words(record.head_difference_mm / build.baseline_head_mm))
    if record.level_over_media_mm is not None:
        sign = "+" if record.level_over_media_mm > 0 else ""
        what.append(f"level {sign}{recorded_quantity(record.level_over_media_mm, 'mm')} from the mark")
    if record.odour:
        came.append(f"smell {record.get_odour_display()}")
    if record.return_water and record.return_water != "clear":
        came.append(f"return water: {record.get_return_water_display()}")
    return Said(", ".join(what) or "Flow looked at", "; ".join(came))


def _cleanout(record: Cleanout) -> Said:
    outcomes = {"full": "emptied", "part": "partly emptied", "attempted": "cleanout tried, nothing came out"}
    what = "cleanout begun" if record.stage == "before" else outcomes[record.outcome]
    before = "rod at the grid" if record.depth_before_qualifier == ">=" else _mm(record.depth_before_mm)
    after = _mm(record.depth_after_mm)
    depths = f"{before or 'before not measured'}, after {after}" if after else (f"before {before}" if before else "")
    slurry = f"{recorded_quantity(record.slurry_l, 'L')} slurry" if record.slurry_l is not None else ""
    minutes = recorded_quantity(record.minutes, "min") if record.minutes is not None else ""
    return Said(what + (f": {depths}" if depths else ""), "; ".join(filter(None, [slurry, minutes, record.found])))


def _mm(value: float | None) -> str:
    return "" if value is None else recorded_quantity(value, "mm")


def _upkeep(record: Upkeep) -> Said:
    minutes = recorded_quantity(record.minutes, "min") if record.minutes else ""
    full = f"{record.fullness} of 4 full" if record.fullness is not None else ""
    return Said(record.get_kind_display(), "; ".join(filter(None, [full, minutes, record.parts])))


def _health_note(record: HealthNote) -> Said:
    return Said(f"Health: {record.text}", "seen by the vet" if record.vet_seen else "")


def _outage(record: Outage) -> Said:
    kind = {"power": "power cut", "heat": "heating off", "other": "trouble"}.get(record.kind, f"{record.kind} trouble")
    zone = timezone(timedelta(minutes=record.utc_offset_min))
    over = f", over at {record.ended_at.astimezone(zone):%H:%M}" if record.ended_at else ", not over yet"
    return Said(f"{kind}{over}", record.done)


def _round_check(record: RoundCheck) -> Said:
    count = f"counted {record.head_count}" if record.head_count is not None else ""
    if count and record.n_expected is not None and record.n_expected != record.head_count:
        count += f", {record.n_expected} in the books"
    return Said(f"odd: {record.odd}", count) if record.odd else Said(count or "looked at")


def _round_skip(record: RoundSkip) -> Said:
    return Said(f"skipped on the round: {record.cause}")


def _dose(record: Dose) -> Said:
    """'BL-117: antiseptic paste given, 0.5 mL'; which dose it was for, where that is another day's."""
    course = record.treatment
    head = f"{course.animal.code}: {course.what[:1].lower() if course.what[1:2].islower() else course.what[:1]}{course.what[1:]}"
    other_day = record.for_on is not None and record.for_on != record.occurred_on
    late = (
        f"for {WEEKDAYS[record.for_on.weekday()]} {day_words(record.for_on, record.occurred_on)}" if other_day else ""
    )
    if record.outcome == "not_given":
        return Said(f"{head} not given: {record.why_not}", late)
    amount = f", {with_unit(as_recorded(record.amount), record.unit)}" if record.amount is not None else ""
    extra = "outside the plan" if record.for_on is None else ""
    return Said(f"{head} given{amount}", "; ".join(filter(None, [late, extra])))


_SAYERS: dict[type[LoggedRecord], Callable[[Any], Said]] = {
    Feeding: _feeding,
    WaterTest: _water_test,
    WaterChange: _water_change,
    Sounding: _sounding,
    FlowCheck: _flow_check,
    Cleanout: _cleanout,
    Upkeep: _upkeep,
    HealthNote: _health_note,
    Outage: _outage,
    RoundCheck: _round_check,
    RoundSkip: _round_skip,
    Photo: lambda photo: Said(photo.caption or "without words"),
    Dose: _dose,
}
