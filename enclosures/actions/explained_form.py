"""An explanation as plain values, kept beside the outlook it explains, and what the others taught, so that a what-if starts there."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from enclosures.forecast.explained import Explained
from enclosures.forecast.inputs import FilterEvidence, Outlook
from enclosures.forecast.priors import Prior
from enclosures.verdicts.explained import lever_words, why_words
from enclosures.verdicts.explained_numbers import assumed_words, number_rows, part_rows, span_rows


def explained_json(explained: Explained, outlook: Outlook, evidence: FilterEvidence) -> dict[str, Any]:
    """In words of the day it was computed; `outlook` with its doubts."""
    today = outlook.as_of
    why = why_words(explained, outlook, evidence, today)
    return {
        "why": list(why.shown),
        "why_more": list(why.more),
        "levers": [asdict(lever_words(lever, outlook, today)) for lever in explained.levers],
        "spans": [asdict(row) for row in span_rows(explained, outlook, today)],
        "parts": [asdict(row) for row in part_rows(explained, evidence)],
        "numbers": [asdict(row) for row in number_rows(outlook)],
        "assumed": list(assumed_words(explained, outlook, evidence)),
    }


def heard_json(heard: Prior | None) -> dict[str, Any] | None:
    """What the facility's other filters taught; None when there are none."""
    if heard is None:
        return None
    return {"names": list(heard.names), "mean": heard.mean.tolist(), "covariance": heard.covariance.tolist()}


def heard_from(stored: dict[str, Any] | None) -> Prior | None:
    """The same, as it was."""
    if stored is None:
        return None
    return Prior(names=tuple(stored["names"]), mean=np.array(stored["mean"]), covariance=np.array(stored["covariance"]))
