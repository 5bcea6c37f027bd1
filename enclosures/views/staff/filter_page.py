"""What the log forms of a filter share: the filter as it stands, the cautions at its pipe, the way back."""

from __future__ import annotations

from functools import cached_property
from typing import Any, ClassVar

from enclosures.boards.filter_now import FilterNow, build_filter_now
from enclosures.models import Enclosure, EnclosureKind, Filter
from enclosures.verdicts.cautions import Caution, Situation, cautions_for
from enclosures.views.clock import FacilityRequest
from enclosures.views.staff.log_page import LogPage


class FilterPage(LogPage):
    situation: ClassVar[Situation]

    def __init__(self, request: FacilityRequest, filter: Filter, *, record: Any = None) -> None:
        super().__init__(request, record=record)
        self.filter = filter

    @property
    def enclosure(self) -> Enclosure:
        return self.filter.enclosure

    @property
    def place_code(self) -> str:
        return self.filter.code

    @cached_property
    def now(self) -> FilterNow:
        return build_filter_now(filter=self.filter, today=self.request.today, before=self.record)

    def cautions(self) -> tuple[Caution, ...]:
        return cautions_for(
            self.situation,
            odour=self.now.odour,
            has_deep_vault=self.enclosure.has_deep_vault,
            water_depth_mm=self.enclosure.depth_mm if self.enclosure.kind == EnclosureKind.POND else None,
            is_quarantine=self.enclosure.kind == EnclosureKind.QUARANTINE,
        )

    def context(self) -> dict[str, Any]:
        return {"filter": self.filter, "now_at": self.now}

    def answer(self, record: Any) -> dict[str, Any]:
        return {"filter": self.filter}
