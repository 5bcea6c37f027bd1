from __future__ import annotations

from enclosures.models import Feeding, HealthNote, Membership, Role
from enclosures.roles import may_change


def test_own_entries_are_changed_by_whoever_may_make_them_and_others_by_a_supervisor() -> None:
    keeper, supervisor = Membership(role=Role.KEEPER), Membership(role=Role.SUPERVISOR)
    own, other = Feeding(entered_by="K1"), Feeding(entered_by="K2")
    assert may_change(keeper, own, initials="K1")
    assert not may_change(keeper, other, initials="K1")
    assert may_change(supervisor, other, initials="SUP")
    assert not may_change(keeper, Feeding(entered_by=""), initials="")


def test_a_veterinarian_changes_own_health_notes_and_nothing_else() -> None:
    vet = Membership(role=Role.VETERINARIAN)
    assert may_change(vet, HealthNote(entered_by="VET"), initials="VET")
    assert not may_change(vet, Feeding(entered_by="VET"), initials="VET")
    assert not may_change(vet, HealthNote(entered_by="K1"), initials="VET")


def test_reader_coordinator_and_stranger_change_nothing() -> None:
    for membership in (Membership(role=Role.READER), Membership(role=Role.COORDINATOR), None):
        assert not may_change(membership, Feeding(entered_by="X"), initials="X")
