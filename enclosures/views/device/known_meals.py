from __future__ import annotations

import uuid
from collections.abc import Iterable
from contextlib import suppress

from enclosures.actions.rounds import part_entry
from enclosures.models import Feeding
from enclosures.views.clock import FacilityRequest


def is_known_to_the_person(request: FacilityRequest, meals: Iterable[Feeding]) -> bool:
    """The device showed the person one of these meals while it still lay there unsent, and they said that this is one more.

    The device knows the id it gave (`known_meal`); a meal of the round is on record under an id made from it.
    """
    known: set[uuid.UUID] = set()
    for text in request.POST.getlist("known_meal"):
        with suppress(ValueError):
            entry = uuid.UUID(text)
            known |= {entry, part_entry(entry, "feeding")}
    return any(meal.entry in known for meal in meals)
