"""A worked example: what to call, with what, what a source says comes out, and how closely it must agree."""

from __future__ import annotations

import importlib
import math
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """One check value. `call` is 'module.function' in enclosures.estimates; `part` picks an attribute or index of the answer.

    Agreement: within `rel` of the expected value, within `within` of it, or equal when both are rounded to `figures`
    significant figures. `how_read` is one of the marks of enclosures/estimates/sources.py; `where` says where in the source.
    """

    call: str
    expected: float
    source: str
    how_read: str
    where: str = ""
    args: tuple[Any, ...] = ()
    inputs: dict[str, Any] = field(default_factory=dict)
    part: str | int | None = None
    rel: float | None = None
    within: float | None = None
    figures: int | None = None

    def __str__(self) -> str:
        given = [f"{value}" for value in self.args] + [f"{name} {value}" for name, value in self.inputs.items()]
        return f"{self.source}: {self.call.split('.')[-1]} {' '.join(given)}"

    def computed(self) -> float:
        module_name, function_name = self.call.split(".")
        module = importlib.import_module(f"enclosures.estimates.{module_name}")
        answer = getattr(module, function_name)(*self.args, **self.inputs)
        if isinstance(self.part, int):
            return float(answer[self.part])
        return float(getattr(answer, self.part) if self.part else answer)

    def check(self) -> None:
        """Fail with the source named when the answer does not agree."""
        got = self.computed()
        said = f"{self.source} ({self.how_read}; {self.where or 'as cited'}) says {self.expected:g}, we say {got:.6g}: {self}"
        if self.figures is not None:
            assert significant(got, self.figures) == significant(self.expected, self.figures), said
        elif self.rel is not None:
            assert abs(got - self.expected) <= self.rel * abs(self.expected), said
        else:
            assert self.within is not None, f"no tolerance given: {self}"
            assert abs(got - self.expected) <= self.within, said


def significant(value: float, figures: int) -> float:
    """A number rounded to so many significant figures."""
    return round(value, figures - 1 - math.floor(math.log10(abs(value)))) if value else 0.0
