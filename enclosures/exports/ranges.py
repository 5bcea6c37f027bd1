"""What the models say about a field, read from the models themselves: hard range, words of its list, longest text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import models
from django.db.models import CheckConstraint, Q

from enclosures.exports.cells import number_text


@dataclass(frozen=True)
class Range:
    """`is_above`: the low end itself is out."""

    low: float | None = None
    high: float | None = None
    is_above: bool = False

    def said(self) -> str:
        """`at least 1 and at most 2000000`."""
        ends = []
        if self.low is not None:
            ends.append(f"{'more than' if self.is_above else 'at least'} {number_text(self.low)}")
        if self.high is not None:
            ends.append(f"at most {number_text(self.high)}")
        return " and ".join(ends)


def range_of(model: type[models.Model], name: str) -> Range | None:
    """The hard range of a field (models/constraints.within), or None. Only plain ranges of this one field count."""
    for constraint in model._meta.constraints:
        if not isinstance(constraint, CheckConstraint) or not constraint.name.endswith(f"_{name}_range"):
            continue
        bounds = {
            lookup.rpartition("__")[2]: value
            for lookup, value in _leaves(constraint.condition)
            if lookup.rpartition("__")[0] == name
        }
        low = bounds.get("gte", bounds.get("gt"))
        if low is not None or "lte" in bounds:
            return Range(low, bounds.get("lte"), is_above="gt" in bounds)
    return None


def words_of(field: models.Field[Any, Any]) -> tuple[str, ...]:
    """The words a text field may hold, empty for a free one (and for numbers, whose range says it)."""
    if not field.choices or not isinstance(field, models.CharField):
        return ()
    return tuple(str(word) for word, _ in field.flatchoices if word != "")


def _leaves(condition: Q) -> Iterator[tuple[str, Any]]:
    for child in condition.children:
        if isinstance(child, Q):
            yield from _leaves(child)
        elif isinstance(child, tuple):
            yield child
