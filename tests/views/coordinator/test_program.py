"""The page of the package: it counts the very tables the file has, and hands the file to who may take it."""

from __future__ import annotations

import io
import re
import zipfile
from typing import Any

import pytest

from enclosures.exports.record_tables import TABLES
from enclosures.imports.importing import import_tables
from enclosures.models import Facility, Membership, Role, SavedPackage
from tests.helpers import words_of
from tests.imports.passing import NOW
from tests.imports.station import whole
from tests.views.pages import signed_in

pytestmark = pytest.mark.django_db

ROW = re.compile(r"^  (\w+\.csv) +(\d+)  ", re.MULTILINE)


@pytest.fixture
def station(django_user_model: Any) -> Any:
    """Its administrator."""
    assert import_tables(whole(), now=NOW).is_saved
    user = django_user_model.objects.create_user(username="adm", password="pw", initials="ADM")
    Membership.objects.create(facility=Facility.objects.get(), user=user, role=Role.ADMINISTRATOR)
    return user


def test_the_page_counts_the_rows_that_the_file_lists(station: Any) -> None:
    answer = signed_in(station).post("/program/")
    with zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as package:
        listed = {name: int(count) for name, count in ROW.findall(package.read("README.txt").decode())}
    assert len(listed) == len(TABLES)
    assert listed["feedings.csv"] > 1
    board = signed_in(station).get("/program/").context["board"]
    assert {row.file: row.count for row in board.counts} == {name: n for name, n in listed.items() if n}
    assert len(board.counts) + len(board.empty) == len(TABLES)


def test_corrections_are_counted_apart(station: Any) -> None:
    rows = {row.file: row for row in signed_in(station).get("/program/").context["board"].counts}
    assert rows["feedings.csv"].corrections == sum(bool(row.get("supersedes")) for row in whole()["feedings"]) > 0


def test_tables_without_rows_are_named_in_one_line(administrator: Any) -> None:
    assert import_tables({"enclosures": whole()["enclosures"][:1]}, now=NOW).is_saved
    said = words_of(signed_in(administrator).get("/program/").content.decode())
    assert "Nothing yet in: Seasons: active, winter rest, drained, resting; Filters;" in said
    assert "enclosures.csv 1" in said


def test_who_took_a_package_is_on_the_page(station: Any) -> None:
    b"".join(signed_in(station).post("/program/").streaming_content)
    assert SavedPackage.objects.get().made_by == "ADM"
    assert "by ADM" in words_of(signed_in(station).get("/program/").content.decode())


def test_an_outside_coordinator_gets_no_package_of_everything(coordinator: Any) -> None:
    assert signed_in(coordinator).get("/program/").status_code == 403
    assert signed_in(coordinator).post("/program/").status_code == 403


def test_who_gives_a_role_is_told_what_the_program_limits(administrator: Any) -> None:
    administrator.is_staff = administrator.is_superuser = True
    administrator.save()
    said = words_of(signed_in(administrator).get("/admin/enclosures/membership/add/").content.decode())
    assert "For an outside coordinator, who sees the animals of this program and nothing else" in said
