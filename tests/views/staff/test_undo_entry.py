from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import time_machine

from enclosures.models import FlowCheck
from tests.conftest import NOW
from tests.helpers import words_of
from tests.views.pages import HTMX, on_the_day, signed_in

FLOW = "/filters/P1-F/flow-checks/"


def logged(client: Any) -> FlowCheck:
    with on_the_day():
        assert client.post(FLOW, {"when": "now", "flow_l_per_h": "1900"}, headers=HTMX).status_code == 201
    return FlowCheck.objects.get()


def test_an_own_entry_is_taken_back_within_ten_minutes_with_one_tap(pond_filter: Any, keeper: Any) -> None:
    client = signed_in(keeper)
    record = logged(client)
    with time_machine.travel(NOW + timedelta(minutes=9), tick=False):
        answer = client.post(f"/entries/flowcheck/{record.entry}/undo/", headers=HTMX)
    assert answer.status_code == 200
    assert "Taken back." in answer.content.decode()
    assert FlowCheck.objects.count() == 0
    assert FlowCheck.all_rows.get(withdrawn=True).reason == "undone"


def test_undone_twice_is_undone_once(pond_filter: Any, keeper: Any) -> None:
    client = signed_in(keeper)
    record = logged(client)
    with on_the_day():
        for _ in range(2):
            answer = client.post(f"/entries/flowcheck/{record.entry}/undo/", headers=HTMX)
            assert answer.status_code == 200
    assert FlowCheck.all_rows.count() == 2


def test_after_ten_minutes_an_entry_is_put_right_instead(pond_filter: Any, keeper: Any) -> None:
    client = signed_in(keeper)
    record = logged(client)
    with time_machine.travel(NOW + timedelta(minutes=11), tick=False):
        page = client.get(f"/entries/flowcheck/{record.entry}/undo/").content.decode()
        answer = client.post(f"/entries/flowcheck/{record.entry}/undo/", headers=HTMX)
    assert answer.status_code == 422
    assert "Take it back" not in page
    assert f"/entries/flowcheck/{record.entry}/correct/" in page
    assert FlowCheck.objects.count() == 1


def test_nobody_undoes_anothers_entry(pond_filter: Any, keeper: Any, other_keeper: Any, supervisor: Any) -> None:
    record = logged(signed_in(keeper))
    with on_the_day():
        for user in (other_keeper, supervisor):
            answer = signed_in(user).post(f"/entries/flowcheck/{record.entry}/undo/", headers=HTMX)
            assert answer.status_code == 422
            assert "Only the person who made an entry can undo it" in answer.content.decode()
    assert FlowCheck.objects.count() == 1


def test_undo_is_for_those_who_log(pond_filter: Any, keeper: Any, reader: Any, stranger: Any, coordinator: Any) -> None:
    record = logged(signed_in(keeper))
    with on_the_day():
        for user in (reader, stranger, coordinator):
            assert signed_in(user).post(f"/entries/flowcheck/{record.entry}/undo/").status_code == 403
            assert signed_in(user).get("/entries/").status_code == 403


def test_my_last_entries_are_mine_with_what_can_still_be_done(pond_filter: Any, keeper: Any, other_keeper: Any) -> None:
    client = signed_in(keeper)
    record = logged(client)
    with on_the_day():
        mine = client.get("/entries/").content.decode()
        others = signed_in(other_keeper).get("/entries/").content.decode()
        client.post(f"/entries/flowcheck/{record.entry}/undo/")
        after = client.get("/entries/").content.decode()
    assert f"/entries/flowcheck/{record.entry}/undo/" in mine
    assert f"/entries/flowcheck/{record.entry}/correct/" in mine
    assert "Nothing entered by you since yesterday." in others
    assert "taken back" in after
    assert f"/entries/flowcheck/{record.entry}/undo/" not in after


def test_without_script_the_message_leads_to_a_page_with_the_undo(pond_filter: Any, keeper: Any) -> None:
    client = signed_in(keeper)
    with on_the_day():
        client.post(FLOW, {"when": "now", "flow_l_per_h": "1900", "entry": str(uuid.uuid4())})
        address = f"/entries/flowcheck/{FlowCheck.objects.get().entry}/undo/"
        page = client.get("/filters/P1-F/upkeep/").content.decode()
        assert f'<a href="{address}">Undo</a>' in page
        assert "P1-F saved: Flow" in words_of(page)
        answer = client.post(address)
    assert answer.headers["Location"] == "/entries/"
    assert FlowCheck.objects.count() == 0
