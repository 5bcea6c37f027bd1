"""Put right: own entries by their author, others' by a supervisor; the old row stays, and what was not touched stays exact."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

import pytest

from enclosures.actions.entries import Stamp
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.sludge import log_flow_check
from enclosures.models import (
    Cleanout,
    Feeding,
    FlowCheck,
    HealthNote,
    Measurement,
    Moment,
    Sounding,
    Upkeep,
    WaterChange,
    WaterTest,
)
from tests.conftest import NOW, TODAY
from tests.helpers import words_of
from tests.views.pages import HTMX, on_the_day, signed_in


@pytest.fixture
def check(pond_filter: Any, facility: Any) -> FlowCheck:
    """Entered by K1, at 09:31:25, with a flow no person would type."""
    moment = Moment.of_local(datetime(2025, 10, 4, 9, 31, 25), zone=facility.zone)  # noqa: DTZ001
    stamp = Stamp(entered_at=NOW, entered_by="K1", note="from the meter")
    logged = log_flow_check(
        filter=pond_filter, moment=moment, stamp=stamp, flow_l_per_h=1892.705892, head_difference_mm=22
    )
    return logged.record


def path(record: Any) -> str:
    return f"/entries/{record._meta.model_name}/{record.entry}/correct/"


def as_shown(client: Any, address: str) -> dict[str, Any]:
    """What a browser would send back untouched: read from the form itself."""
    from html.parser import HTMLParser

    class Fields(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.data: dict[str, list[str]] = {}
            self.area = ""
            self.is_here = False

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            given = dict(attrs)
            self.is_here = self.is_here or given.get("id") == "form"
            name = given.get("name") or ""
            if not self.is_here or not name or name in ("csrfmiddlewaretoken", "entry"):
                return
            if tag == "input" and (given.get("type") not in ("radio", "checkbox") or "checked" in given):
                self.data.setdefault(name, []).append(
                    given.get("value", "on" if given.get("type") == "checkbox" else "") or ""
                )
            if tag == "textarea":
                self.area = name

        def handle_data(self, data: str) -> None:
            if self.area:
                self.data.setdefault(self.area, []).append(data.removeprefix("\n"))

        def handle_endtag(self, tag: str) -> None:
            if tag == "textarea":
                self.data[self.area] = ["".join(self.data.get(self.area, []))]
                self.area = ""

    page = client.get(address)
    assert page.status_code == 200, page.status_code
    fields = Fields()
    fields.feed(page.content.decode())
    return fields.data


def corrected(user: Any, record: Any, **changes: Any) -> Any:
    client = signed_in(user)
    with on_the_day():
        data = as_shown(client, path(record)) | {"reason": "misread", "entry": str(uuid.uuid4())} | changes
        return client.post(path(record), data, headers=HTMX)


def test_only_what_was_changed_goes_into_the_new_row(check: FlowCheck, keeper: Any) -> None:
    answer = corrected(keeper, check, head_difference_mm="25")
    assert answer.status_code == 201
    new = FlowCheck.objects.get()
    assert new.supersedes == check
    assert (new.head_difference_mm, new.reason) == (25, "misread")
    assert new.flow_l_per_h == check.flow_l_per_h, "the shown figure was rounded; the untouched one is exact"
    assert new.occurred_at == check.occurred_at, "to the second, although the form shows minutes"
    assert new.note == "from the meter"
    check.refresh_from_db()
    assert check.head_difference_mm == 22


def test_a_correction_says_why(check: FlowCheck, keeper: Any) -> None:
    answer = corrected(keeper, check, reason="")
    assert answer.status_code == 422
    assert "Say why, in a few words." in answer.content.decode()
    assert FlowCheck.all_rows.count() == 1


@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("keeper", 200), ("other_keeper", 403), ("supervisor", 200), ("administrator", 200), ("builder", 403),
        ("reader", 403), ("coordinator", 403), ("stranger", 403),
    ],
)  # fmt: skip
def test_own_entries_are_put_right_by_their_author_and_others_by_a_supervisor(
    check: FlowCheck, who: str, status: int, request: pytest.FixtureRequest
) -> None:
    client = signed_in(request.getfixturevalue(who))
    with on_the_day():
        assert client.get(path(check)).status_code == status
        assert client.get(path(check).replace("correct", "withdraw")).status_code == status


def test_a_correction_sent_twice_is_one_and_a_second_one_starts_from_the_newest(
    check: FlowCheck, keeper: Any, supervisor: Any
) -> None:
    entry = str(uuid.uuid4())
    first = corrected(keeper, check, head_difference_mm="25", entry=entry)
    client = signed_in(keeper)
    with on_the_day():
        moved = client.get(path(check))
    assert first.status_code == 201
    assert moved.status_code == 302
    assert moved.headers["Location"] == path(FlowCheck.objects.get())
    again = corrected(supervisor, FlowCheck.objects.get(), head_difference_mm="26")
    assert again.status_code == 201
    assert FlowCheck.objects.get().head_difference_mm == 26
    assert FlowCheck.all_rows.count() == 3


def test_a_correction_is_held_against_the_same_limits(check: FlowCheck, keeper: Any) -> None:
    answer = corrected(keeper, check, head_difference_mm="9999")
    assert answer.status_code == 422
    assert FlowCheck.all_rows.count() == 1


def test_a_corrected_feeding_keeps_the_lines_that_were_not_touched(
    pond: Any, pellet: Any, facility: Any, keeper: Any
) -> None:
    moment = Moment.of_day(TODAY, zone=facility.zone)
    stamp = Stamp(entered_at=NOW, entered_by="K1")
    lines = [LineGiven(food_item=pellet, amount=1.5, unit="scoop", eaten="some")]
    record = log_feeding(enclosure=pond, moment=moment, lines=lines, stamp=stamp, slot="am", refused="BL-7").record
    answer = corrected(keeper, record, eaten="all")
    assert answer.status_code == 201
    new = Feeding.objects.get()
    line = new.lines.get()
    assert (line.amount, line.unit, line.offered_g, line.eaten) == (1.5, "scoop", 39, "all")
    assert new.refused == "BL-7", "an animal that lives elsewhere now still refused then"


SAMPLES: list[tuple[str, str, dict[str, str], dict[str, str], type]] = [
    ("/filters/P1-F/soundings/", "sounding", {"depth_1": "80", "depth_2": "82", "odour": "1"}, {"depth_2": "84"}, Sounding),
    ("/filters/P1-F/upkeep/", "upkeep", {"kind": "sponge", "minutes": "10"}, {"minutes": "12"}, Upkeep),
    (
        "/filters/P1-F/cleanouts/", "cleanout",
        {
            "finished": "yes", "cause": "forecast", "safety_ticked": "on", "outcome": "full", "before_1": "131",
            "after_1": "9", "media_disturbed": "no", "sludge_elsewhere": "the far field",
        },
        {"after_1": "12"}, Cleanout,
    ),
    ("/enclosures/P1/water-changes/", "waterchange", {"volume_l": "780", "cause": "routine"}, {"volume_l": "800"}, WaterChange),
    (
        "/enclosures/P1/water-tests/", "watertest",
        {"value_temperature": "21", "value_tan": "> 8", "source_tan": "kit:A", "value_kh": "6", "source_kh": "as:dKH"},
        {"value_temperature": "22"}, WaterTest,
    ),
    ("/enclosures/P1/health-notes/", "healthnote", {"animal": "BL-105", "text": "odd"}, {"text": "very odd"}, HealthNote),
]  # fmt: skip


@pytest.mark.parametrize(("log_path", "table", "data", "changes", "model"), SAMPLES, ids=[s[1] for s in SAMPLES])
def test_every_kind_of_entry_can_be_put_right_on_its_own_form(
    pond_filter: Any, animals: Any, kits: Any, keeper: Any, post: Any,
    log_path: str, table: str, data: dict[str, str], changes: dict[str, str], model: Any,
) -> None:  # fmt: skip
    assert post(keeper, log_path, data).status_code == 201
    record = model.objects.get()
    same = corrected(keeper, record)
    assert same.status_code == 422
    assert "Nothing is different from what is on record." in same.content.decode()
    answer = corrected(keeper, record, **changes)
    assert answer.status_code == 201
    assert model.objects.get().content() != record.content()
    assert model.all_rows.count() == 2


def test_a_weighing_is_put_right_for_its_one_animal(animals: Any, keeper: Any, post: Any) -> None:
    post(keeper, "/enclosures/P1/weights/", {f"mass_{a.pk}": "500" for a in animals})
    record = Measurement.objects.get(animal=animals[1])
    answer = corrected(keeper, record, **{f"mass_{animals[1].pk}": "510"})
    assert answer.status_code == 201
    assert {m.animal.code: m.mass_g for m in Measurement.objects.all()} == {"BL-104": 500, "BL-105": 510, "BL-106": 500}


def test_the_first_half_of_a_cleanout_can_be_put_right_and_stays_a_first_half(
    pond_filter: Any, keeper: Any, post: Any
) -> None:
    post(
        keeper,
        "/filters/P1-F/cleanouts/",
        {"finished": "no", "cause": "smell", "safety_ticked": "on", "before_1": "80"},
    )
    half = Cleanout.objects.get()
    assert corrected(keeper, half, before_1="88").status_code == 201
    new = Cleanout.objects.get()
    assert (new.stage, new.depth_before_mm, new.supersedes) == ("before", 88, half)


def test_a_withdrawal_says_why_and_the_old_row_stays(check: FlowCheck, keeper: Any, post: Any) -> None:
    address = path(check).replace("correct", "withdraw")
    refused = post(keeper, address, {"reason": ""}, plain=True)
    assert refused.status_code == 422
    assert "Say why, in a few words." in refused.content.decode()
    assert post(keeper, address, {"reason": "wrong filter"}, plain=True).status_code == 302
    assert FlowCheck.objects.count() == 0
    assert FlowCheck.all_rows.filter(withdrawn=True, reason="wrong filter").count() == 1
    again = post(keeper, address, {"reason": "wrong filter"}, plain=True)
    assert again.status_code == 422


def test_an_entry_that_is_not_there_is_not_found(keeper: Any, look: Any) -> None:
    for table in ("flowcheck", "flow_checks", "nonsense"):
        look(keeper, f"/entries/{table}/{uuid.uuid4()}/correct/", status=404)


def test_the_page_shows_what_is_on_record(check: FlowCheck, keeper: Any, look: Any) -> None:
    words = words_of(look(keeper, path(check))).replace("\u00a0", " ")
    assert "On record: Sat 4 Oct 09:31" in words
    assert "by K1" in words
