"""Which filter first: bands from the likeliest fill and the evidence, a score within the band, and the why in sentences.

    F = clamp((fill_p90 - 0.5) / 0.6, 0, 1)                            how full it may be
    E = capped sum of what was read: flow, head, level, smell, water     how it is doing
    C = 0.4 ... 1.0                                                      who lives on it
    W = 1 when the working window closes before it would be due          season
    U = 1 when no sounding for 180 days                                  how blind we are
    score = 100 (1 - (1 - 0.6 F)(1 - 0.5 E)) (0.6 + 0.4 C) + 10 W + 5 U

Bands on the likeliest fill and the filter's own due line d: act now (fill >= 1, or E >= 0.6), overdue (>= d + 0.15, at most 0.95),
due (>= d), unknown (no forecast), soon (likeliest due day within 60 days, or W = 1), fine. Weights are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from enclosures.forecast.inputs import Outlook
from enclosures.verdicts.diagnosis import Diagnosis, diagnosed
from enclosures.verdicts.reasons import reasons_for
from enclosures.verdicts.signs import (
    FLOW_ACT,
    FLOW_LOOK,
    HEAD_ACT,
    HEAD_LOOK,
    LEVEL_LOOK_MM,
    ROTTEN_EGG,
    FilterSigns,
)
from enclosures.verdicts.windows import Window, is_closing, window_for
from enclosures.verdicts.words import Band, Reason, joined

ACT_EVIDENCE = 0.6
OVERDUE_STEP, OVERDUE_AT_MOST = 0.15, 0.95
SOON_DAYS = 60
BLIND_DAYS = 180
RECOVERING_DAYS = 90
CROWDED_KG_M3 = 4.0


@dataclass(frozen=True, kw_only=True, slots=True)
class ScoreParts:
    """The score taken apart, for the tooltip."""

    fill: float
    evidence: float
    care: float
    is_window_closing: bool
    is_unsounded: bool

    @property
    def score(self) -> int:
        burden = 1 - (1 - 0.6 * self.fill) * (1 - 0.5 * self.evidence)
        total = 100 * burden * (0.6 + 0.4 * self.care) + 10 * self.is_window_closing + 5 * self.is_unsounded
        return int(total + 0.5)

    @property
    def words(self) -> str:
        return (
            f"fill {self.fill:.2f}, evidence {self.evidence:.2f}, who lives on it {self.care:.2f}, "
            f"window closing {'yes' if self.is_window_closing else 'no'}, "
            f"long unsounded {'yes' if self.is_unsounded else 'no'}"
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class FilterVerdict:
    """What the list says of one filter. `pinned` is the sentence of signals that disagree; such filters stand above the list."""

    filter: str
    band: Band
    score: int
    parts: ScoreParts
    reasons: tuple[Reason, ...]
    sentence: str
    is_recovering: bool
    pinned: str | None
    diagnosis: Diagnosis | None
    window: Window


def judged(outlook: Outlook | None, signs: FilterSigns, today: date) -> FilterVerdict:
    """Band, score and reasons of one filter as of a day. `outlook` None or without a fill: unknown unless the evidence acts."""
    window = window_for(signs, today)
    due_p50 = outlook.due_on.p50 if outlook is not None and outlook.due_on is not None else None
    parts = ScoreParts(
        fill=fill_part(outlook),
        evidence=evidence_part(signs, today),
        care=care_part(signs),
        is_window_closing=is_closing(window, due_p50, today),
        is_unsounded=is_unsounded(signs, today),
    )
    band = band_of(outlook, parts, today)
    is_recovering = is_recovering_on(signs, today)
    diagnosis = diagnosed(signs, today)
    reasons = reasons_for(
        signs,
        outlook,
        window,
        today,
        band=band,
        is_window_closing=parts.is_window_closing,
        is_unsounded=parts.is_unsounded,
        is_recovering=is_recovering,
    )
    return FilterVerdict(
        filter=signs.filter,
        band=band,
        score=parts.score,
        parts=parts,
        reasons=reasons,
        sentence=joined(reasons),
        is_recovering=is_recovering,
        pinned=diagnosis.sentence if diagnosis is not None and diagnosis.is_disagreement else None,
        diagnosis=diagnosis,
        window=window,
    )


def order_key(verdict: FilterVerdict) -> tuple[bool, int, int, str]:
    """Sort key of the list: pinned first, then bands in order, then the score, then the code."""
    return (verdict.pinned is None, verdict.band.order, -verdict.score, verdict.filter)


def fill_part(outlook: Outlook | None) -> float:
    """F, from the fill it may well have (P90); 0 without a forecast."""
    if outlook is None or outlook.fill is None:
        return 0.0
    return max(0.0, min(1.0, (outlook.fill.p90 - 0.5) / 0.6))


def evidence_part(signs: FilterSigns, today: date) -> float:
    """E, from the latest reading of each kind; capped at 1. Ammonia of a ripening bed is expected and does not count."""
    total = 0.0
    flow = signs.last_flow()
    share = flow.flow_share if flow else None
    if share is not None:
        total += 0.6 if share < FLOW_ACT else 0.3 if share < FLOW_LOOK else 0.0
    heads = signs.head_checks()
    ratio = heads[-1].head_ratio if heads else None
    if ratio is not None:
        total += 0.5 if ratio >= HEAD_ACT else 0.2 if ratio >= HEAD_LOOK else 0.0
    level = signs.last_level_mm()
    total += 0.2 if level is not None and level >= LEVEL_LOOK_MM else 0.0
    odour = signs.last_odour()
    total += 0.5 if odour is not None and odour >= ROTTEN_EGG else 0.0
    total += 0.0 if signs.is_bed_young(today) else _water_part(signs, today)
    total += 0.1 if signs.is_return_cloudy() else 0.0
    return min(1.0, total)


def _water_part(signs: FilterSigns, today: date) -> float:
    levels = {
        signs.level_of(sign)
        for sign in (signs.last_value(analyte, today) for analyte in ("tan", "nitrite"))
        if sign is not None
    }
    return 0.6 if "act" in levels else 0.3 if "look" in levels else 0.0


def care_part(signs: FilterSigns) -> float:
    """C, the most delicate of what lives on it, a little more with a single pump or a crowd; never above 1."""
    highest = 0.4
    if signs.is_skin_sensitive:
        highest = 0.7
    if signs.is_quarantine or signs.has_gravid_or_nesting:
        highest = 0.8
    if signs.n_hatchlings or signs.n_program_animals:
        highest = 0.9
    density = signs.density_kg_m3
    highest += 0.1 if signs.n_pumps == 1 else 0.0
    highest += 0.1 if density is not None and density > CROWDED_KG_M3 else 0.0
    return min(1.0, highest)


def is_unsounded(signs: FilterSigns, today: date) -> bool:
    """No sounding for 180 days; a filter never sounded counts from the day it began."""
    days = signs.days_since_sounding(today)
    if days is None:
        days = (today - signs.commissioned_on).days if signs.commissioned_on else BLIND_DAYS
    return days >= BLIND_DAYS


def is_recovering_on(signs: FilterSigns, today: date) -> bool:
    """Within 90 days of a rebuild that closed a disagreement."""
    age = signs.bed_age_days(today)
    return signs.did_rebuild_close_disagreement and age is not None and 0 <= age <= RECOVERING_DAYS


def is_silent(outlook: Outlook) -> bool:
    """Nothing was read and nothing went in on record: what is said of it is no forecast, however small the figure."""
    return outlook.sureness == "none" and not outlook.n_soundings and not outlook.dry_feed_since_emptied_g


def band_of(outlook: Outlook | None, parts: ScoreParts, today: date) -> Band:
    """The first band that applies, from act now down. Silence is never fine."""
    fill = outlook.fill.p50 if outlook is not None and outlook.fill is not None else None
    if parts.evidence >= ACT_EVIDENCE or (fill is not None and fill >= 1):
        return Band.ACT
    if outlook is None or fill is None:
        return Band.UNKNOWN
    due_fill = outlook.due_fill if outlook.due_fill is not None else 0.7
    if fill >= min(due_fill + OVERDUE_STEP, OVERDUE_AT_MOST):
        return Band.OVERDUE
    if fill >= due_fill:
        return Band.DUE
    if is_silent(outlook):
        return Band.UNKNOWN
    due_p50 = outlook.due_on.p50 if outlook.due_on is not None else None
    is_near = due_p50 is not None and (due_p50 - today).days <= SOON_DAYS
    return Band.SOON if is_near or parts.is_window_closing else Band.FINE
