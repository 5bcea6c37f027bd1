"""Hard ranges, held by the database too: what cannot be true is refused whatever door it comes through."""

from __future__ import annotations

from django.db.models import CheckConstraint, F, Q


def within(field: str, low: float | None, high: float | None, *, above: bool = False) -> CheckConstraint:
    """low <= field <= high (or low < field with `above`); an empty value passes. The name is unique per model."""
    fits = Q()
    said = []
    if low is not None:
        fits &= Q(**{f"{field}__gt" if above else f"{field}__gte": low})
        said.append(f"{'more than' if above else 'at least'} {low:g}")
    if high is not None:
        fits &= Q(**{f"{field}__lte": high})
        said.append(f"at most {high:g}" if high < 1_000_000 else f"at most {high:,.0f}".replace(",", " "))
    return CheckConstraint(
        condition=Q(**{f"{field}__isnull": True}) | fits,
        name=f"%(class)s_{field}_range",
        violation_error_message=f"{field.replace('_', ' ')}: {' and '.join(said)}.",
    )


def in_order(first: str, second: str) -> CheckConstraint:
    """second is empty, or not before first."""
    return CheckConstraint(
        condition=Q(**{f"{second}__isnull": True})
        | Q(**{f"{first}__isnull": True})
        | Q(**{f"{second}__gte": F(first)}),
        name=f"%(class)s_{second}_after",
        violation_error_message=f"{second.replace('_', ' ')} is before {first.replace('_', ' ')}.",
    )


def one_of(field: str, values: list[str]) -> CheckConstraint:
    return CheckConstraint(
        condition=Q(**{f"{field}__in": values}),
        name=f"%(class)s_{field}_known",
        violation_error_message=f"{field.replace('_', ' ')}: one of {', '.join(v or 'empty' for v in values)}.",
    )
