"""The one bridge from records to science: rows of many filters, as known on one day, become frozen facts in a fixed number of queries.

Known on day D means: dated by D, entered before the end of D by the facility's clock, and neither superseded nor withdrawn by a row
entered before then. What was entered later did not exist yet, whatever it is dated.
"""

from __future__ import annotations

from enclosures.evidence.filters import (
    KnownFilter,
    load_filter_evidence,
    load_filter_signs,
    load_filters,
    load_void_evidence,
)
from enclosures.evidence.known import AsOf

__all__ = ["AsOf", "KnownFilter", "load_filter_evidence", "load_filter_signs", "load_filters", "load_void_evidence"]
