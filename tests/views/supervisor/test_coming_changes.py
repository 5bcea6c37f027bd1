"""One page for what is decided for the days ahead: planned, put off, ticked off, called off; and what the forecast's page says of it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from enclosures.actions.planned import plan_move, plan_season
from enclosures.models import Enclosure, FilterOutlook, PlannedMove, PlannedSeason, Season, Taxon
from tests.actions.station import entered_on, make_enclosure, make_filter, make_pellet, on
from tests.boards.walk import lived_in, plan
from tests.conftest import TODAY
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import on_the_day, signed_in

PATH = "/coming/"
MAY = date(2026, 5, 1)


@pytest.fixture
def tub(facility: Any) -> Enclosure:
    return lived_in(facility, "T1", "BL-120", "BL-121", kind="tub", indoor=True)


@pytest.fixture
def pond(facility: Any) -> Enclosure:
    return lived_in(facility, "P3", "BL-113")


def send(user: Any, data: dict[str, Any], path: str = PATH) -> Any:
    with on_the_day():
        return signed_in(user).post(path, data)


def read(user: Any, path: str = PATH) -> str:
    with on_the_day():
        return signed_in(user).get(path).content.decode()


def words(html: str) -> str:
    return words_of(html).replace("\u00a0", " ")


def animals_of(place: Enclosure) -> list[Any]:
    return [stay.animal for stay in place.stays.order_by("animal__code").select_related("animal")]


def move(tub: Enclosure, **more: Any) -> dict[str, Any]:
    return {
        "act": "move", "animals": [animal.pk for animal in animals_of(tub)], "to": "P3", "planned_on": "2026-05-01", **more,
    }  # fmt: skip


def planned(tub: Enclosure, pond: Enclosure, **more: Any) -> PlannedMove:
    said = {"animals": animals_of(tub), "planned_on": MAY, **more}
    return plan_move(
        from_enclosure=tub, to_enclosure=pond, moment=on(TODAY, tub.facility), stamp=entered_on(TODAY, by="SUP", hour=6), **said
    ).record  # fmt: skip


def test_a_move_is_planned_from_the_place_and_stands_on_the_list(
    tub: Enclosure, pond: Enclosure, supervisor: Any
) -> None:
    form = read(supervisor, f"{PATH}?from=T1")
    assert "BL-120" in words(form)
    assert "BL-113" not in words(form)
    answer = send(supervisor, move(tub, note="nets over the pond first"), f"{PATH}?from=T1")
    assert answer.status_code == 302
    row = PlannedMove.objects.get()
    assert (row.from_enclosure, row.to_enclosure, row.planned_on, row.entered_by) == (tub, pond, MAY, "SUP")
    assert [mover.animal.code for mover in row.movers.all()] == ["BL-120", "BL-121"]
    html = read(supervisor)
    assert "about 1 May Two animals move from T1 to P3 BL-120 and BL-121 nets over the pond first" in words(html)
    assert "decided 4 Oct by SUP" in words(html)
    assert_reads_well(html)


def test_strangers_are_planned_from_outside_by_number(pond: Enclosure, supervisor: Any) -> None:
    kind = Taxon.objects.get()
    data = {"act": "move", "n_animals": "3", "taxon": kind.pk, "mass_g": "1 lb", "to": "P3", "planned_on": "2026-06-06"}
    assert send(supervisor, data, f"{PATH}?from=outside").status_code == 302
    row = PlannedMove.objects.get()
    assert (row.from_enclosure, row.n_animals, row.taxon) == (None, 3, kind)
    assert row.mass_g == pytest.approx(453.6, abs=0.1)  # the international pound: 453.59237 g
    assert "Three European pond turtles arrive at P3" in words(read(supervisor))


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"animals": []}, "Say who is to move: tick them, or say how many."),
        ({"to": ""}, "Choose where they go."),
        ({"planned_on": ""}, "Say about when."),
        ({"planned_on": "1 May or so"}, "That is not a date; write it as 2026-05-01."),
        ({"planned_on": "2025-05-01"}, "That day has passed."),
        ({"planned_on": "2225-05-01"}, "more than ten years ahead"),
        ({"mass_g": "heavy"}, "is not a number"),
        ({"n_animals": "a few"}, "How many: a whole number from 1 to 10000."),
    ],
)
def test_what_cannot_be_is_said_and_what_was_typed_stays(
    tub: Enclosure, pond: Enclosure, supervisor: Any, wrong: dict[str, Any], sentence: str
) -> None:
    answer = send(supervisor, move(tub, note="kept as typed", **wrong), f"{PATH}?from=T1")
    html = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in html
    assert "kept as typed" in html
    for typed in wrong.values():
        assert not typed or str(typed) in html
    assert not PlannedMove.all_rows.exists()


def test_put_off_the_old_plan_stays_readable_behind_the_new(tub: Enclosure, pond: Enclosure, supervisor: Any) -> None:
    old = planned(tub, pond)
    path = f"{PATH}?change={old.entry}"
    assert 'value="2026-05-01"' in read(supervisor, path)
    data = move(tub, planned_on="2026-05-20", why="a cold spring", animals=[animals_of(tub)[0].pk])
    assert send(supervisor, data, path).status_code == 302
    row = PlannedMove.objects.get()
    assert (row.planned_on, row.supersedes, row.reason) == (date(2026, 5, 20), old, "a cold spring")
    assert [mover.animal.code for mover in row.movers.all()] == ["BL-120"]
    assert PlannedMove.all_rows.count() == 2


def test_called_off_it_leaves_the_list_and_stays_on_record(tub: Enclosure, pond: Enclosure, supervisor: Any) -> None:
    row = planned(tub, pond)
    assert send(supervisor, {"act": "off", "plan": row.entry, "reason": "the pond leaks"}).status_code == 302
    assert (PlannedMove.objects.get().state, PlannedMove.all_rows.count()) == ("off", 2)
    said = words(read(supervisor))
    assert "Nothing is planned." in said
    assert "called off 4 Oct by SUP: the pond leaks" in said
    assert send(supervisor, {"act": "done", "plan": row.entry}).status_code == 404


def test_ticked_off_while_the_books_disagree_says_so(tub: Enclosure, pond: Enclosure, supervisor: Any) -> None:
    row = planned(tub, pond)
    with on_the_day():
        client = signed_in(supervisor)
        html = client.post(PATH, {"act": "done", "plan": row.entry}, follow=True).content.decode()
    assert "The books do not have BL-120 and BL-121 at P3 yet: log the move" in words(html)
    assert PlannedMove.objects.get().state == "done"


def test_the_move_itself_ticks_the_plan_off(tub: Enclosure, pond: Enclosure, keeper: Any) -> None:
    row = planned(tub, pond)
    path = f"/enclosures/T1/move/?planned={row.entry}"
    html = read(keeper, path)
    assert "Two animals move from T1 to P3, about 1 May" in words(html)
    assert html.count("checked") >= 3  # both animals, and the plan
    data = {
        "animals": [animal.pk for animal in animals_of(tub)], "to": pond.pk, "reason": "outdoors", "planned": [row.pk],
    }  # fmt: skip
    assert send(keeper, data, "/enclosures/T1/move/").status_code == 302
    assert (PlannedMove.objects.get().state, PlannedMove.objects.get().entered_by) == ("done", "K1")


def test_a_move_that_fails_ticks_nothing_off(tub: Enclosure, pond: Enclosure, keeper: Any) -> None:
    row = planned(tub, pond)
    data = {"animals": [animals_of(pond)[0].pk], "to": pond.pk, "reason": "outdoors", "planned": [row.pk]}
    assert send(keeper, data, "/enclosures/T1/move/").status_code == 422
    assert PlannedMove.objects.get().state == "ahead"


def test_a_winter_rest_is_planned_begun_and_over(pond: Enclosure, supervisor: Any) -> None:
    data = {
        "act": "season", "enclosure": pond.pk, "kind": "brumation", "from_on": "2025-11-02", "to_on": "2026-03-22",
    }  # fmt: skip
    assert send(supervisor, {**data, "to_on": ""}).status_code == 422
    assert send(supervisor, {**data, "to_on": "2025-10-05"}).status_code == 422
    assert send(supervisor, data).status_code == 302
    assert send(supervisor, {**data, "from_on": "2025-12-01"}).status_code == 422  # planned already
    row = PlannedSeason.objects.get()
    assert "about 2 Nov P3, winter rest, to about 22 Mar" in words(read(supervisor))
    assert send(supervisor, {"act": "begun", "plan": row.entry}).status_code == 302
    season = Season.objects.get()
    assert (season.kind, season.from_on, season.to_on) == ("brumation", TODAY, None)
    assert "P3, winter rest" in words(read(supervisor))
    assert send(supervisor, {"act": "over", "season": season.pk}).status_code == 302
    season.refresh_from_db()
    assert season.to_on == TODAY


def test_who_plans_and_who_only_reads(
    tub: Enclosure, pond: Enclosure, keeper: Any, builder: Any, reader: Any, coordinator: Any, stranger: Any
) -> None:
    row = planned(tub, pond)
    for user, sees_plans, may_move in ((keeper, False, True), (reader, False, False), (builder, True, False)):
        html = words(read(user))
        assert "Two animals move from T1 to P3" in html
        assert ("Call off" in html) is sees_plans
        assert ("Move now" in html) is may_move
    for user in (keeper, reader):
        assert send(user, {"act": "off", "plan": row.entry}).status_code == 403
        assert send(user, move(tub), f"{PATH}?from=T1").status_code == 403
    for user in (coordinator, stranger):
        with on_the_day():
            assert signed_in(user).get(PATH).status_code == 403
    assert PlannedMove.objects.get().state == "ahead"


def test_a_plan_makes_the_outlooks_at_both_ends_stale_and_so_does_its_end(
    tub: Enclosure, pond: Enclosure, supervisor: Any
) -> None:
    for place in (tub, pond):
        FilterOutlook.objects.create(
            filter=make_filter(place), as_of=TODAY, computed_at=entered_on(TODAY).entered_at, band="fine", band_order=5
        )
    send(supervisor, move(tub), f"{PATH}?from=T1")
    assert FilterOutlook.objects.filter(is_stale=True).count() == 2
    FilterOutlook.objects.update(is_stale=False)
    send(supervisor, {"act": "off", "plan": PlannedMove.objects.get().entry})
    assert FilterOutlook.objects.filter(is_stale=True).count() == 2


def test_the_enclosure_page_says_what_is_counted_in(tub: Enclosure, pond: Enclosure, supervisor: Any) -> None:
    make_filter(tub)
    planned(tub, pond)
    said = words(read(supervisor, "/enclosures/T1/"))
    assert "On about 1 May 2026 two animals move to P3: the feed here is expected to fall to nothing." in said.replace(
        "BL-120 and BL-121 move", "two animals move"
    )


def test_a_meal_that_begins_later_stands_on_the_list(pond: Enclosure, supervisor: Any) -> None:
    plan(pond, make_pellet(), from_on=TODAY + timedelta(days=9))
    assert "from 13 Oct P3, another meal: morning, every day" in words(read(supervisor))


def test_the_list_costs_the_same_however_long_it_is(tub: Enclosure, pond: Enclosure, supervisor: Any) -> None:
    def n_queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            read(supervisor)
        return len(seen)

    def decide(n: int) -> None:
        planned(tub, pond, planned_on=MAY + timedelta(days=n))
        row = planned(tub, pond, planned_on=MAY + timedelta(days=100 + n))
        send(supervisor, {"act": "off", "plan": row.entry})
        place = make_enclosure(tub.facility, f"X{n}")
        plan_season(
            enclosure=place, kind="resting", from_on=MAY, to_on=None, moment=on(TODAY, tub.facility), stamp=entered_on(TODAY, hour=6),
        )  # fmt: skip

    decide(1)
    with_one = n_queries()
    for n in (2, 3, 4):
        decide(n)
    assert n_queries() == with_one
