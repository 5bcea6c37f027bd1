"""The models' own constraints, checked in memory: no query a row, and the same sentence the database's rule carries."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db import models
from django.db.models import CheckConstraint, F, Q
from django.db.models.expressions import CombinedExpression, Value

Values = Mapping[str, Any]
Truth = bool | None  # None: not known, because a value is missing; a rule is broken only by False

_COMPARE: dict[str, Callable[[Any, Any], bool]] = {
    "exact": operator.eq,
    "gte": operator.ge,
    "gt": operator.gt,
    "lte": operator.le,
    "lt": operator.lt,
}
_ARITHMETIC: dict[str, Callable[[Any, Any], Any]] = {"+": operator.add, "-": operator.sub, "*": operator.mul}


@dataclass(frozen=True)
class Rule:
    """One constraint: `holds` takes a row's values by field name; `fields` are those it speaks of."""

    holds: Callable[[Values], Truth]
    sentence: str
    fields: tuple[str, ...]


@cache
def rules_of(model: type[models.Model]) -> tuple[Rule, ...]:
    """The check constraints of a model as functions of a row's values."""
    return tuple(
        Rule(
            _condition(constraint.condition),
            constraint.get_violation_error_message(),
            tuple(dict.fromkeys(_names(constraint.condition))),
        )
        for constraint in model._meta.constraints
        if isinstance(constraint, CheckConstraint)
    )


def broken_rules(model: type[models.Model], values: Values) -> Iterator[Rule]:
    for rule in rules_of(model):
        if rule.holds(values) is False:
            yield rule


def _condition(condition: Q) -> Callable[[Values], Truth]:
    tests = [_condition(child) if isinstance(child, Q) else _leaf(*child) for child in condition.children]
    joined = _any(tests) if condition.connector == Q.OR else _all(tests)
    return _not(joined) if condition.negated else joined


def _leaf(lookup: str, right: Any) -> Callable[[Values], Truth]:
    name, _, kind = lookup.partition("__")
    kind = kind or "exact"
    if kind == "isnull":
        return lambda values: (values.get(name) is None) is right
    if kind == "in":
        allowed = set(right)
        return lambda values: None if values.get(name) is None else values[name] in allowed
    compare, other = _COMPARE[kind], _value(right)

    def holds(values: Values) -> Truth:
        here, there = values.get(name), other(values)
        return None if here is None or there is None else compare(here, there)

    return holds


def _value(expression: Any) -> Callable[[Values], Any]:
    if isinstance(expression, F):
        return lambda values: values.get(expression.name)
    if isinstance(expression, Value):
        return lambda values: expression.value
    if isinstance(expression, CombinedExpression):
        left, right = _value(expression.lhs), _value(expression.rhs)
        combine = _ARITHMETIC[expression.connector]

        def combined(values: Values) -> Any:
            one, two = left(values), right(values)
            return None if one is None or two is None else combine(one, two)

        return combined
    return lambda values: expression


def _any(tests: list[Callable[[Values], Truth]]) -> Callable[[Values], Truth]:
    def holds(values: Values) -> Truth:
        answer: Truth = False
        for test in tests:
            said = test(values)
            if said:
                return True
            if said is None:
                answer = None
        return answer

    return holds


def _all(tests: list[Callable[[Values], Truth]]) -> Callable[[Values], Truth]:
    def holds(values: Values) -> Truth:
        answer: Truth = True
        for test in tests:
            said = test(values)
            if said is False:
                return False
            if said is None:
                answer = None
        return answer

    return holds


def _not(test: Callable[[Values], Truth]) -> Callable[[Values], Truth]:
    def holds(values: Values) -> Truth:
        said = test(values)
        return None if said is None else not said

    return holds


def _names(condition: Q) -> Iterator[str]:
    for child in condition.children:
        if isinstance(child, Q):
            yield from _names(child)
            continue
        lookup, right = child
        yield lookup.partition("__")[0]
        if isinstance(right, F):
            yield right.name
        elif isinstance(right, CombinedExpression):
            yield from (side.name for side in (right.lhs, right.rhs) if isinstance(side, F))
