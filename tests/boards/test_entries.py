from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from enclosures.actions.corrections import move_to_enclosure, supersede, withdraw
from enclosures.actions.events import log_health_note, log_outage
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.measurements import log_measurement
from enclosures.actions.sludge import DepthGiven, log_sounding
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.boards.entries import build_entries
from enclosures.boards.entry_words import amount_words, said, when_said
from enclosures.models import Feeding, LoggedRecord, Moment
from tests.actions.station import at, entered_on, make_enclosure, make_pellet, on, stamp
from tests.boards.pond import log_some_days, make_pond, make_turtles
from tests.conftest import NOW, TODAY

pytestmark = pytest.mark.django_db
YESTERDAY = TODAY - timedelta(days=1)


@pytest.fixture
def pond(facility: Any) -> Any:
    return make_pond(facility)


def fed(enclosure: Any, *, scoops: float = 2, day: date = YESTERDAY, by: str = "K2") -> Any:
    pellet = make_pellet() if not Feeding.objects.exists() else Feeding.objects.first().lines.get().food_item
    line = LineGiven(food_item=pellet, amount=scoops, unit="scoop", eaten="all")
    return log_feeding(
        enclosure=enclosure, moment=at(day, 16, 41, enclosure.facility), lines=[line], stamp=entered_on(day, by=by)
    ).record


def lines_of(enclosure: Any, **more: Any) -> Any:
    return build_entries(enclosure=enclosure, today=TODAY, **more).lines


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_a_feeding_is_said_in_the_keepers_units(pond: Any) -> None:
    fed(pond.enclosure, scoops=1.5)
    (line,) = lines_of(pond.enclosure)
    assert plain(line.what) == "Fed: pellet 1½ scoops"
    assert line.came == "all eaten"
    assert plain(line.when) == "Fri 3 Oct 16:41"
    assert line.who == "K2"


def test_what_was_put_right_stays_visible_with_who_and_why(pond: Any) -> None:
    record = fed(pond.enclosure, scoops=2)
    supersede(
        record,
        stamp=stamp(NOW, by="SUP"),
        reason="one scoop, not two",
        parts={"lines": [LineGiven(food_item=record.lines.get().food_item, amount=1, unit="scoop", eaten="all")]},
    )
    (line,) = lines_of(pond.enclosure)
    assert plain(line.was) == "Fed: pellet 2 scoops"
    assert plain(line.what) == "Fed: pellet 1 scoop"
    assert plain(line.why) == "put right by SUP on 4 Oct: one scoop, not two"
    assert line.who == "K2"


def test_what_was_taken_back_is_struck_and_nothing_stands_in_its_place(pond: Any) -> None:
    withdraw(fed(pond.enclosure), stamp=stamp(NOW, by="SUP"), reason="it was the other pond")
    (line,) = lines_of(pond.enclosure)
    assert (line.what, plain(line.was)) == ("", "Fed: pellet 2 scoops")
    assert plain(line.why).startswith("taken back by SUP on 4 Oct: it was")
    assert line.change == ""


def test_an_entry_moved_to_another_enclosure_is_struck_here_and_says_where_it_went(pond: Any, facility: Any) -> None:
    other = make_enclosure(facility, "P2")
    move_to_enclosure(fed(pond.enclosure), to=other, stamp=stamp(NOW, by="SUP"), reason="wrong label")
    (left,) = lines_of(pond.enclosure)
    assert plain(left.why).startswith("moved to P2 by SUP")
    assert left.was
    assert not left.what
    (arrived,) = lines_of(other)
    assert arrived.was == "logged at P1"
    assert arrived.what


def test_a_temperature_of_the_same_visit_stands_under_the_feeding(pond: Any, facility: Any) -> None:
    fed(pond.enclosure)
    log_water_test(
        enclosure=pond.enclosure,
        moment=at(YESTERDAY, 16, 40, facility),
        readings=[ReadingGiven(analyte="temperature", value=14.6, unit="degC")],
        stamp=entered_on(YESTERDAY, by="K2"),
    )
    (line,) = lines_of(pond.enclosure)
    assert [plain(also.what) for also in line.also] == ["Water 14.6 °C"]


def test_late_entries_say_when_they_were_entered(pond: Any, facility: Any) -> None:
    line = LineGiven(food_item=make_pellet(), offered_g=12)
    log_feeding(
        enclosure=pond.enclosure,
        moment=at(date(2025, 9, 28), 8, 0, facility),
        lines=[line],
        stamp=stamp(datetime(2025, 9, 29, 12, tzinfo=UTC), how="late"),
    )
    (line,) = lines_of(pond.enclosure)
    assert plain(line.late) == "from memory, entered 29 Sep"


def test_restricted_health_notes_are_for_those_who_may_see_them(pond: Any, facility: Any) -> None:
    log_health_note(
        enclosure=pond.enclosure, moment=on(YESTERDAY, facility), text="Shell flaking.", stamp=stamp(), restricted=True
    )
    assert lines_of(pond.enclosure) == ()
    (line,) = lines_of(pond.enclosure, shows_restricted=True)
    assert line.what == "Health: Shell flaking."


def test_animals_coming_and_weighings_are_one_line_each(pond: Any) -> None:
    make_turtles(pond.enclosure)
    said_here = [plain(line.what) for line in lines_of(pond.enclosure)]
    assert said_here == ["Weighed P1-101 700 g, P1-102 701 g, P1-103 702 g and P1-104 703 g",
                         "P1-101, P1-102, P1-103 and P1-104 came in"]  # fmt: skip


def test_a_young_turtles_mass_is_said_as_the_scale_gave_it(pond: Any) -> None:
    """14.4 g said as 14 g would hide a week of growth, and look like a slip to who typed it."""
    young, *_ = make_turtles(pond.enclosure)
    log_measurement(animal=young, moment=on(TODAY, pond.enclosure.facility), stamp=entered_on(TODAY), mass_g=14.4)
    assert any("14.4 g" in plain(line.what) for line in lines_of(pond.enclosure))


def test_earlier_entries_are_asked_for_by_number(pond: Any) -> None:
    log_some_days(pond, n=14)
    entries = build_entries(enclosure=pond.enclosure, today=TODAY, shown=5)
    assert len(entries.lines) == 5
    assert entries.more == 15
    assert [line.at for line in entries.lines] == sorted((line.at for line in entries.lines), reverse=True)
    assert build_entries(enclosure=pond.enclosure, today=TODAY, shown=200).more == 0


def test_each_person_is_offered_only_what_they_may_do(pond: Any) -> None:
    fed(pond.enclosure)

    def own_only(record: LoggedRecord) -> Any:
        return "correct" if record.entered_by == "K2" else ""

    (line,) = lines_of(pond.enclosure, may=own_only)
    assert (line.change, line.table) == ("correct", "feeding")


def test_the_number_of_queries_does_not_depend_on_the_number_of_entries(
    pond: Any, django_assert_max_num_queries: Any
) -> None:
    log_some_days(pond, n=3)
    with django_assert_max_num_queries(30):
        lines_of(pond.enclosure)
    log_some_days(pond, pellet=Feeding.objects.first().lines.get().food_item, n=20)
    with django_assert_max_num_queries(30):
        lines_of(pond.enclosure, shown=100)


def test_a_rod_at_the_grid_is_said_in_words(pond: Any, facility: Any) -> None:
    record = log_sounding(
        filter=pond,
        moment=on(YESTERDAY, facility),
        depths=[DepthGiven(depth_mm=150, qualifier=">=")],
        stamp=entered_on(YESTERDAY),
    ).record
    assert said(record).what == "Sounding rod at the grid"
    assert said(record).came == "full or more"


def test_a_time_is_said_by_the_clock_it_was_written_with(facility: Any) -> None:
    summer = Moment.from_text("2025-07-01T08:00+02:00", zone=facility.zone)
    assert plain(when_said(summer, TODAY)) == "Tue 1 Jul 08:00"
    assert plain(when_said(Moment.of_day(date(2024, 7, 1), zone=facility.zone), TODAY)) == "Mon 1 Jul 2024"


@pytest.mark.parametrize(("amount", "words"), [(0.5, "½"), (1.5, "1½"), (2.75, "2¾"), (3, "3"), (0.3, "0.3")])
def test_halves_and_quarters_are_written_as_keepers_do(amount: float, words: str) -> None:
    assert amount_words(amount) == words


def test_a_power_cut_of_the_whole_facility_is_no_entry_of_a_place_built_after_it(facility: Any) -> None:
    old, new = make_pond(facility, "P1"), make_enclosure(facility, "P5")
    cut = at(YESTERDAY, 2, 10, facility)
    log_outage(moment=cut, kind="power", enclosures=[], ended_at=cut.at + timedelta(hours=9), stamp=stamp())
    assert [line.what for line in lines_of(old.enclosure)] == ["Power cut, over at 11:10"]
    assert lines_of(new) == ()
