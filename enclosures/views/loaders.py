"""From an address to the thing it names: the object, or a 404 that says what was looked for."""

from __future__ import annotations

from django.http import Http404

from enclosures.models import Enclosure, Filter, Treatment


def load_enclosure(code: str) -> Enclosure:
    enclosure = Enclosure.objects.select_related("facility").filter(code=code).first()
    if enclosure is None:
        raise Http404(f"There is no enclosure {code} here.")
    return enclosure


def load_filter(code: str) -> Filter:
    found = Filter.objects.with_place().filter(code=code).first()
    if found is None:
        raise Http404(f"There is no filter {code} here.")
    return found


def load_treatment(animal: str, code: str) -> Treatment:
    """A course of one animal that has or had a place here."""
    found = Treatment.objects.select_related("animal").filter(code=code, animal__code=animal).first()
    if found is None or not found.animal.stays.exists():
        raise Http404(f"There is no course {code} for {animal} here.")
    return found
