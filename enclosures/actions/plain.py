"""Saving what is described rather than logged (places, filters, animals): validated, refused in sentences by field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import IntegrityError, models, transaction

from enclosures.actions.entries import Refused


def save_described(thing: models.Model, *, changes: Mapping[str, Any] | None = None) -> None:
    """Set `changes`, validate and save. Raises Refused, and then nothing is saved."""
    for name, value in (changes or {}).items():
        thing._meta.get_field(name)  # a misspelt field is the programmer's error, not the keeper's
        setattr(thing, name, value)
    try:
        thing.full_clean()
    except ValidationError as invalid:
        raise Refused(sentences(invalid)) from invalid
    try:
        with transaction.atomic():
            thing.save()
    except IntegrityError as taken:  # another request saved the same code in the meantime
        try:
            thing.validate_constraints()
            thing.validate_unique()
        except ValidationError as invalid:
            raise Refused(sentences(invalid)) from taken
        raise


def described(model: type[models.Model], **values: Any) -> Any:
    """A new row. Raises Refused."""
    thing = model(**values)
    save_described(thing)
    return thing


def sentences(invalid: ValidationError) -> dict[str, str]:
    """Django's errors as one sentence per field."""
    by_field: Mapping[str, Iterable[str]] = (
        invalid.message_dict if hasattr(invalid, "error_dict") else {NON_FIELD_ERRORS: invalid.messages}
    )
    return {field: " ".join(messages) for field, messages in by_field.items()}
