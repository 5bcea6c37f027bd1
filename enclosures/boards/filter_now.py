"""What is known of one filter as someone stands at its pipe: void, last readings, what the forecast said, a cleanout half done."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from enclosures.boards.drawings import drawing_of
from enclosures.boards.entry_words import depths_words
from enclosures.boards.stored_outlook import due_fill_of, outlook_from, stored_outlook
from enclosures.figures.section import section_svg
from enclosures.forecast.inputs import Quantiles
from enclosures.models import (
    Cleanout,
    Filter,
    FilterBuild,
    FlowCheck,
    LoggedRecord,
    PumpFitting,
    Sounding,
    SoundingReading,
)
from enclosures.verdicts.words import day_words, kept_together, percent_words, rounded


@dataclass(frozen=True, kw_only=True, slots=True)
class FilterNow:
    """`last_depth_mm` only while nothing was taken out since the last sounding; `pipe` is the drawing at the cleanout pipe."""

    filter: Filter
    build: FilterBuild | None
    due_fill: float
    last_sounding: Sounding | None
    last_depth_mm: float | None
    last_words: str
    forecast_words: str
    last_flow: FlowCheck | None
    last_l_per_h: float | None
    rated_l_per_h: float | None
    odour: int | None
    pipe: str
    begun: tuple[Cleanout, ...]

    @property
    def due_mm(self) -> float | None:
        return None if self.build is None else self.due_fill * self.build.void_height_mm

    @property
    def baseline_l_per_h(self) -> float | None:
        return self.build.baseline_flow_l_per_h if self.build is not None else None

    @property
    def baseline_head_mm(self) -> float | None:
        return self.build.baseline_head_mm if self.build is not None else None

    @property
    def head_remark(self) -> str:
        return "" if self.baseline_head_mm is None else f"clean {self.baseline_head_mm:g} mm"

    @property
    def grid_text(self) -> str:
        """What a depth field says when the rod stops at the grid."""
        return "" if self.build is None else f"≥ {self.build.void_height_mm:g}"

    @property
    def bucket_remark(self) -> str:
        return "as last time" if self.bucket_l is not None else ""

    @property
    def before_words(self) -> str:
        """How long the pump was off last time: two soundings compare only after the same wait."""
        return f"Pump off {self.pump_off_min:g} min, as last time" if self.pump_off_min else ""

    @property
    def bucket_l(self) -> float | None:
        return self.last_flow.litres if self.last_flow is not None else None

    @property
    def pump_off_min(self) -> float | None:
        return self.last_sounding.pump_off_min if self.last_sounding is not None else None


def build_filter_now(*, filter: Filter, today: date, before: LoggedRecord | None = None) -> FilterNow:
    """A constant number of queries. `filter` with builds and outlook loaded. `before`: the entry being corrected."""
    build = filter.build_on(today)
    sounding = _newest(Sounding.objects.prefetch_related("readings"), filter, before)
    flow = _newest(FlowCheck.objects.filter(flow_l_per_h__isnull=False), filter, before)
    smelt = _newest(FlowCheck.objects.filter(odour__isnull=False), filter, before)
    cleanouts = list(Cleanout.objects.filter(filter=filter).newest_first()[:20])
    depth_mm = _depth_mm(sounding, cleanouts)
    row = stored_outlook(filter)
    due_fill = due_fill_of(row, build, usual=filter.enclosure.facility.default_due_fill)
    fitting = PumpFitting.objects.filter(filter=filter, from_on__lte=today, to_on__isnull=True).select_related("pump")
    pump = fitting.order_by("-from_on").first()
    return FilterNow(
        filter=filter,
        build=build,
        due_fill=due_fill,
        last_sounding=sounding,
        last_depth_mm=depth_mm,
        last_words=_last_words(sounding, cleanouts, today),
        forecast_words=_forecast_words(outlook_from(row).rod_mm if row is not None else None),
        last_flow=flow,
        last_l_per_h=_comparable_flow(flow, build, fitting_from=pump.from_on if pump is not None else None),
        rated_l_per_h=pump.pump.rated_l_per_h if pump is not None else None,
        odour=smelt.odour if smelt is not None else None,
        pipe="" if build is None else _pipe(filter, build, due_fill=due_fill, depth_mm=depth_mm or 0.0),
        begun=tuple(cleanout for cleanout in cleanouts if cleanout.stage == "before"),
    )


def _newest(rows: object, filter: Filter, before: LoggedRecord | None) -> object:
    found = rows.filter(filter=filter)  # type: ignore[attr-defined]
    if before is not None and isinstance(before, found.model):
        found = found.exclude(pk=before.pk)
    return found.newest_first().first()


def _depth_mm(sounding: Sounding | None, cleanouts: list[Cleanout]) -> float | None:
    if sounding is None:
        return None
    if any(c.stage == "done" and c.outcome != "attempted" and c.occurred_at >= sounding.occurred_at for c in cleanouts):
        return None
    depths = [reading.depth_mm for reading in sounding.readings.all()]
    return sum(depths) / len(depths) if depths else None


def _last_words(sounding: Sounding | None, cleanouts: list[Cleanout], today: date) -> str:
    """'Last time 118, 121, 121 mm, on 30 Aug.'; a cleanout since is said instead, for it changed everything."""
    done = next((c for c in cleanouts if c.stage == "done" and c.outcome != "attempted"), None)
    if done is not None and (sounding is None or done.occurred_at >= sounding.occurred_at):
        did = "Emptied" if done.outcome == "full" else "Partly emptied"
        return kept_together(f"{did} on {day_words(done.occurred_on, today)}, no sounding since.")
    if sounding is None:
        return "Never sounded."
    words = depths_words(list(sounding.readings.all()))
    return kept_together(f"Last time {words}, on {day_words(sounding.occurred_on, today)}.")


def _forecast_words(rod_mm: Quantiles | None) -> str:
    if rod_mm is None:
        return ""
    return kept_together(f"By the forecast the rod shows {rounded(rod_mm.p10)}–{rounded(rod_mm.p90)} mm.")


def surprise_words(readings: Iterable[SoundingReading], fill: Quantiles | None, *, void_height_mm: float) -> str:
    """What to do about a rod that says something else than the forecast even after the forecast has heard it; else empty."""
    depths = [reading.depth_mm for reading in readings if not reading.qualifier]
    if fill is None or not depths:
        return ""
    low_mm, high_mm = fill.p10 * void_height_mm, fill.p90 * void_height_mm
    mean_mm = sum(depths) / len(depths)
    if low_mm <= mean_mm <= high_mm:
        return ""
    return kept_together(
        f"The rod said {rounded(mean_mm)} mm, far from the rest of what is known, so the forecast follows it only in part: "
        f"{rounded(low_mm)}–{rounded(high_mm)} mm. Sound once more; if the rod says the same, the forecast follows."
    )


def _comparable_flow(flow: FlowCheck | None, build: FilterBuild | None, *, fitting_from: date | None) -> float | None:
    """The last flow, unless bed or pump were changed since."""
    if flow is None:
        return None
    changed_on = max(
        (day for day in (build.valid_from if build else None, fitting_from) if day is not None), default=None
    )
    return flow.flow_l_per_h if changed_on is None or flow.occurred_on >= changed_on else None


def _pipe(filter: Filter, build: FilterBuild, *, due_fill: float, depth_mm: float) -> str:
    fill = depth_mm / build.void_height_mm
    drawn = drawing_of(
        build,
        code=filter.code,
        enclosure=filter.enclosure,
        due_fill=due_fill,
        sludge=Quantiles(p10=fill, p50=fill, p90=fill),
    )
    return section_svg(drawn, "pipe")


def share_words(value: float | None, of: float | None) -> str:
    """'79 %' of a baseline, empty where either is not known."""
    return kept_together(percent_words(value / of)) if value is not None and of else ""
