"""Who signs in at the invented station: one person for each pattern of work."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import make_password

from enclosures.models import Facility, Membership, Role
from enclosures.scenarios.animals import PROGRAM


@dataclass(frozen=True, kw_only=True)
class Person:
    username: str
    initials: str
    role: Role
    does: str
    program: str = ""


PEOPLE = (
    Person(username="k1", initials="K1", role=Role.KEEPER, does="morning rounds, Monday to Friday"),
    Person(username="k2", initials="K2", role=Role.KEEPER, does="evening rounds, Tuesday to Saturday"),
    Person(username="k3", initials="K3", role=Role.KEEPER, does="weekends"),
    Person(username="sup", initials="SUP", role=Role.SUPERVISOR, does="cleanouts, moves, corrections"),
    Person(username="bld", initials="BLD", role=Role.BUILDER, does="builds, beds, pumps"),
    Person(username="vet", initials="VET", role=Role.VETERINARIAN, does="visits quarterly and when called"),
    Person(username="adm", initials="ADM", role=Role.ADMINISTRATOR, does="people, settings, merges, backups"),
    Person(
        username="co", initials="CO", role=Role.COORDINATOR, does="the program's animals, from outside", program=PROGRAM
    ),
    Person(username="reader", initials="RD", role=Role.READER, does="looks, logs nothing"),
)


def make_people(facility: Facility, *, password: str) -> None:
    """A sign-in for each, all with the one password; whoever is there already is left as they are."""
    users = get_user_model()
    hashed = make_password(password)  # hashed once: nine times would be most of the start
    for person in PEOPLE:
        is_administrator = person.role == Role.ADMINISTRATOR
        user, is_new = users.objects.get_or_create(
            username=person.username,
            defaults={
                "initials": person.initials, "password": hashed, "is_staff": is_administrator,
                "is_superuser": is_administrator,
            },
        )  # fmt: skip
        if is_new:
            Membership.objects.create(facility=facility, user=user, role=person.role, program=person.program)
