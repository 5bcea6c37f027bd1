"""What holds for every log form: who may open it, one entry for one id, nothing typed is lost, and the way it answers."""

from __future__ import annotations

import re
import uuid
from datetime import timedelta
from typing import Any

import pytest

from enclosures.models import Feeding, FlowCheck, Upkeep
from tests.conftest import NOW
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import HTMX, on_the_day, signed_in

OF_FILTERS = ["soundings", "flow-checks", "cleanouts", "upkeep"]
OF_ENCLOSURES = ["feedings", "water-tests", "water-changes", "weights"]
LOG_PAGES = [f"/filters/P1-F/{name}/" for name in OF_FILTERS] + [f"/enclosures/P1/{name}/" for name in OF_ENCLOSURES]
FLOW = "/filters/P1-F/flow-checks/"


@pytest.fixture
def station(pond_filter: Any, pellet: Any, kits: Any, animals: Any) -> Any:
    return pond_filter


@pytest.mark.parametrize("path", LOG_PAGES)
@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("keeper", 200), ("supervisor", 200), ("builder", 200), ("administrator", 200),
        ("veterinarian", 403), ("coordinator", 403), ("reader", 403), ("stranger", 403),
    ],
)  # fmt: skip
def test_log_forms_are_for_those_who_log(
    station: Any, path: str, who: str, status: int, request: pytest.FixtureRequest
) -> None:
    client = signed_in(request.getfixturevalue(who))
    with on_the_day():
        assert client.get(path).status_code == status
        assert client.post(path, {}).status_code == (422 if status == 200 else 403)


@pytest.mark.parametrize(
    ("who", "status"), [("veterinarian", 200), ("keeper", 200), ("reader", 403), ("stranger", 403)]
)
def test_a_veterinarian_writes_health_notes(station: Any, who: str, status: int, request: Any) -> None:
    client = signed_in(request.getfixturevalue(who))
    assert client.get("/enclosures/P1/health-notes/").status_code == status


@pytest.mark.parametrize("path", [*LOG_PAGES, "/enclosures/P1/health-notes/", "/entries/"])
def test_log_forms_read_well_and_name_their_place(station: Any, keeper: Any, path: str, look: Any) -> None:
    page = look(keeper, path)
    assert_reads_well(re.sub(r'<div class="keys".*?</div>', "", page, flags=re.S))
    assert "P1" in re.search(r"<h1.*?</h1>", page, re.S).group() or path == "/entries/"  # type: ignore[union-attr]
    assert " style=" not in page
    assert "onclick" not in page


def test_the_id_of_an_entry_is_never_in_the_page_where_a_script_could_keep_it(
    station: Any, keeper: Any, look: Any
) -> None:
    page = look(keeper, FLOW)
    outside = re.sub(r"<noscript>.*?</noscript>", "", page, flags=re.S)
    assert 'name="entry"' in page
    assert 'name="entry"' not in outside


def test_a_page_with_an_id_in_it_is_never_kept(station: Any, keeper: Any) -> None:
    with on_the_day():
        assert "no-store" in signed_in(keeper).get(FLOW).headers["Cache-Control"]


def test_a_log_form_sent_twice_makes_one_entry_and_answers_as_before(station: Any, keeper: Any, post: Any) -> None:
    data = {"flow_l_per_h": "1900", "entry": str(uuid.uuid4())}
    first, second = post(keeper, FLOW, data), post(keeper, FLOW, data)
    assert (first.status_code, second.status_code) == (201, 200)
    assert first.headers["X-Entry"] == second.headers["X-Entry"] == data["entry"]
    assert FlowCheck.all_rows.count() == 1


def test_a_retry_minutes_later_is_the_same_entry_although_now_is_another_time(station: Any, keeper: Any) -> None:
    import time_machine

    data = {"when": "now", "flow_l_per_h": "1900", "entry": str(uuid.uuid4())}
    client = signed_in(keeper)
    codes = []
    for minutes in (0, 7):
        with time_machine.travel(NOW + timedelta(minutes=minutes), tick=False):
            codes.append(client.post(FLOW, data, headers=HTMX).status_code)
    assert codes == [201, 200]
    assert FlowCheck.all_rows.get().occurred_at == NOW


def test_the_same_id_with_other_content_is_a_conflict_that_a_person_settles(
    station: Any, keeper: Any, post: Any
) -> None:
    entry = str(uuid.uuid4())
    post(keeper, FLOW, {"flow_l_per_h": "1900", "entry": entry})
    answer = post(keeper, FLOW, {"flow_l_per_h": "1700", "entry": entry})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Flow 1 900 L/h" in words_of(page).replace("\u202f", " ").replace("\u00a0", " ")
    assert "Put right what is on record" in page
    assert "Save as another entry" in page
    assert FlowCheck.all_rows.get().flow_l_per_h == 1900


def test_a_refused_form_keeps_every_value_and_says_so_first(station: Any, keeper: Any, post: Any) -> None:
    data = {"flow_l_per_h": "abc", "head_difference_mm": "22", "level_over_media_mm": "-7", "odour": "2", "note": "wet"}
    answer = post(keeper, FLOW, data, plain=True)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "<title>Error: Check the flow" in page
    problem = page.index('class="problem"')
    assert problem < page.index('id="id_flow_l_per_h"')
    assert 'role="alert"' in page
    assert 'href="#id_flow_l_per_h"' in page
    for kept in ('value="abc"', 'value="22"', 'value="-7"', ">\nwet</textarea>"):
        assert kept in page, kept
    assert re.search(r'name="odour" value="2"[^>]* checked', page)
    assert "“abc” is not a number." in page
    assert FlowCheck.all_rows.count() == 0


def test_with_htmx_only_the_form_comes_back_and_the_title_with_it(station: Any, keeper: Any, post: Any) -> None:
    page = post(keeper, FLOW, {}).content.decode()
    assert page.lstrip().startswith("<title>Error: Check the flow")
    assert "<nav" not in page
    assert "Enter at least one figure." in page


def test_without_script_a_saved_entry_leads_to_the_dashboard_with_a_way_back(
    station: Any, keeper: Any, post: Any
) -> None:
    answer = post(keeper, FLOW, {"flow_l_per_h": "1900"}, plain=True)
    assert answer.status_code == 303
    assert answer.headers["Location"] == "/enclosures/P1/"
    record = FlowCheck.all_rows.get()
    assert answer.headers["X-Entry"] == str(record.entry)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"when": "earlier", "when_on": "2025-10-05"}, "That day has not come yet"),
        ({"when": "earlier", "when_on": "2025-10-04", "when_at": "11:30"}, "That time has not come yet"),
        ({"when": "earlier", "when_on": "5.10.2025"}, "is not a date"),
        ({"when": "earlier", "when_on": "2025-10-01", "when_at": "half past"}, "is not a time"),
    ],
)
def test_the_future_and_what_is_no_date_are_refused(
    station: Any, keeper: Any, post: Any, data: dict[str, str], said: str
) -> None:
    answer = post(keeper, FLOW, {"flow_l_per_h": "1900", **data})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert 'value="1900"' in answer.content.decode()


def test_an_entry_known_only_to_the_day_is_kept_so_and_flagged_late(station: Any, keeper: Any, post: Any) -> None:
    data = {"flow_l_per_h": "1900", "when": "earlier", "when_on": "2025-10-01", "recall": "late"}
    assert post(keeper, FLOW, data).status_code == 201
    record = FlowCheck.all_rows.get()
    assert (record.occurred_on.isoformat(), record.precision, record.how) == ("2025-10-01", "day", "late")
    assert {"LATE", "MEM"} <= set(record.flags)


def test_the_time_of_the_tap_is_kept_by_the_tablets_own_waiting_not_by_its_clock(
    station: Any, keeper: Any, post: Any
) -> None:
    """A tablet an hour slow that waited five minutes for the network."""
    tapped, sent = NOW - timedelta(minutes=65), NOW - timedelta(minutes=60)
    post(keeper, FLOW, {"flow_l_per_h": "1900", "device_at": tapped.isoformat(), "sent_at": sent.isoformat()})
    record = FlowCheck.all_rows.get()
    assert record.occurred_at == NOW - timedelta(minutes=5)
    assert record.clock_offset_s == -3600
    assert "CLK" in record.flags


def test_the_bar_shows_the_last_entry_with_its_undo_while_it_can_be_undone(station: Any, keeper: Any) -> None:
    client = signed_in(keeper)
    with on_the_day():
        client.post(FLOW, {"when": "now", "flow_l_per_h": "1900"}, headers=HTMX)
        page = client.get("/filters/P1-F/upkeep/").content.decode()
    assert f"/entries/flowcheck/{FlowCheck.all_rows.get().entry}/undo/" in page


def test_upkeep_is_logged_with_what_was_done(station: Any, keeper: Any, post: Any) -> None:
    answer = post(
        keeper, "/filters/P1-F/upkeep/", {"kind": "sponge", "fullness": "3", "minutes": "12", "parts": "new foam"}
    )
    assert answer.status_code == 201
    record = Upkeep.objects.get()
    assert (record.kind, record.fullness, record.minutes, record.parts) == ("sponge", 3, 12, "new foam")
    assert "Say what was done." in post(keeper, "/filters/P1-F/upkeep/", {"fullness": "3"}).content.decode()


def test_nothing_is_logged_at_an_address_that_is_not_there(station: Any, keeper: Any, post: Any) -> None:
    assert post(keeper, "/enclosures/P99/feedings/", {}).status_code == 404
    assert Feeding.all_rows.count() == 0
