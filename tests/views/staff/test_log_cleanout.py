from __future__ import annotations

import uuid
from typing import Any

import pytest

from enclosures.models import Cleanout, FilterOutlook
from tests.helpers import words_of
from tests.views.pages import HTMX, on_the_day, signed_in

PATH = "/filters/P1-F/cleanouts/"
BEFORE = {
    "finished": "no",
    "safety_ticked": "on",
    "cause": "forecast",
    "before_1": "131",
    "before_2": "135",
    "people": "SUP K1",
}
AFTER = {
    "outcome": "full", "after_1": "12", "slurry_l": "45", "slurry_known_by": "drums", "media_disturbed": "no",
    "sludge_to": "compost", "odour": "1", "first_draw": "3", "colour": "black", "consistency": "gritty",
    "minutes": "95", "pump_off_min": "50", "flow_after_l_per_h": "2380", "water_replaced_l": "400", "found": "a toy",
}  # fmt: skip


def text(answer: Any) -> str:
    return words_of(answer.content.decode()).replace("\u00a0", " ")


def test_the_first_half_is_safe_and_waits_on_the_form_to_be_finished(
    pond_filter: Any, supervisor: Any, post: Any, look: Any
) -> None:
    answer = post(supervisor, PATH, BEFORE)
    assert answer.status_code == 201
    half = Cleanout.objects.get()
    assert (half.stage, half.depth_before_mm, half.people, half.safety_ticked) == ("before", 133, "SUP K1", True)
    assert "Depths before: 131, 135 mm." in half.note
    assert "the sludge counts as still in place" in text(answer)
    page = look(supervisor, PATH)
    assert "Begun, not finished" in page
    assert f'href="?finish={half.entry}"' in page


def test_the_second_half_takes_the_place_of_the_first_with_all_that_was_found(
    pond_filter: Any, supervisor: Any, post: Any, look: Any
) -> None:
    post(supervisor, PATH, BEFORE)
    half = Cleanout.objects.get()
    page = look(supervisor, f"{PATH}?finish={half.entry}")
    assert 'name="before_1" value="133"' in page
    first = {"safety_ticked": "on", "cause": "forecast", "before_1": "133", "people": "SUP K1", "note": half.note}
    answer = post(supervisor, PATH, {**first, **AFTER, "first_half": str(half.entry)})
    assert answer.status_code == 201
    done = Cleanout.objects.get()
    assert done.supersedes == half
    for name, value in {
        "stage": "done", "outcome": "full", "depth_before_mm": 133, "depth_after_mm": 12, "slurry_l": 45,
        "slurry_known_by": "drums", "media_disturbed": False, "sludge_to": "compost", "odour": 1, "first_draw": 3,
        "colour": "black", "consistency": "gritty", "minutes": 95, "pump_off_min": 50, "flow_after_l_per_h": 2380,
        "water_replaced_l": 400, "found": "a toy", "people": "SUP K1", "cause": "forecast",
    }.items():  # fmt: skip
        assert getattr(done, name) == value, name
    assert FilterOutlook.objects.get(filter=pond_filter).fill_p50 < 0.3
    assert "Emptied: 133 mm, after 12 mm" in text(answer) or "before 133 mm, after 12 mm" in text(answer)
    assert "Begun, not finished" not in look(supervisor, PATH)


def test_both_halves_can_be_saved_at_once(pond_filter: Any, supervisor: Any, post: Any) -> None:
    assert post(supervisor, PATH, {**BEFORE, **AFTER, "finished": "yes"}).status_code == 201
    assert Cleanout.all_rows.get().stage == "done"


def test_the_rod_at_the_grid_before_is_a_reading_of_its_own(pond_filter: Any, supervisor: Any, post: Any) -> None:
    assert post(supervisor, PATH, {**BEFORE, "before_1": "≥ 150", "before_2": ""}).status_code == 201
    half = Cleanout.objects.get()
    assert (half.depth_before_mm, half.depth_before_qualifier) == (150, ">=")


def test_what_must_be_said_is_asked_for_and_the_rest_is_not(pond_filter: Any, supervisor: Any, post: Any) -> None:
    first = text(post(supervisor, PATH, {"finished": "no"}))
    assert "Say why now." in first
    assert "Look at the cautions above, then tick this." in first
    both = text(post(supervisor, PATH, {**BEFORE, "finished": "yes"}))
    assert "Say how far it went." in both
    assert "Say whether the media was disturbed" in both
    assert Cleanout.all_rows.count() == 0
    bare = {"outcome": "part", "media_disturbed": "no", "sludge_to": "hauled away"}
    assert post(supervisor, PATH, {**BEFORE, **bare, "finished": "yes"}).status_code == 201
    assert Cleanout.objects.get().slurry_l is None, "not measured is an answer"


def test_one_from_paper_needs_no_tick_of_what_is_long_past(pond_filter: Any, supervisor: Any, post: Any) -> None:
    old = {"when": "earlier", "when_on": "2025-03-25", "recall": "paper", "cause": "seasonal", "finished": "yes"}
    answer = post(supervisor, PATH, {**old, "outcome": "full", "media_disturbed": "no", "sludge_to": "compost"})
    assert answer.status_code == 201
    assert Cleanout.objects.get().how == "paper"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"after_1": "148"}, "Were they swapped?"),
        ({"after_1": "300"}, "more than the void"),
        ({"before_1": "1310"}, "Did you mean 131 mm?"),
        ({"slurry_l": "2"}, "The sludge is estimated at"),
        ({"pump_off_min": "90"}, "Usual is 0 to 60 min"),
        ({"flow_after_l_per_h": "-1"}, "Flow"),
    ],
)
def test_figures_that_do_not_fit_are_asked_about_and_kept_on_the_form(
    pond_filter: Any, supervisor: Any, post: Any, data: dict[str, str], said: str
) -> None:
    answer = post(supervisor, PATH, {**BEFORE, **AFTER, "finished": "yes", **data})
    assert answer.status_code == 422
    assert said in text(answer)
    assert f'value="{next(iter(data.values()))}"' in answer.content.decode()
    assert Cleanout.all_rows.count() == 0


def test_a_disturbed_bed_is_called_young(pond_filter: Any, supervisor: Any, post: Any) -> None:
    answer = post(supervisor, PATH, {**BEFORE, **AFTER, "finished": "yes", "media_disturbed": "yes"})
    assert "it is young again" in text(answer)


def test_cautions_stand_at_the_top(pond_filter: Any, supervisor: Any, look: Any) -> None:
    page = look(supervisor, PATH)
    head = page.partition('id="before-head"')[0]
    for caution in (
        "Unplug first",
        "Rotten-egg smell?",
        "The wet vac",
        "Salmonella",
        "Two people",
        "storm drains",
        "Local rules",
    ):
        assert caution in head, caution
    assert '<details class="first-do" open>' in head


def test_a_half_that_is_not_there_cannot_be_finished(pond_filter: Any, supervisor: Any) -> None:
    client = signed_in(supervisor)
    with on_the_day():
        assert client.get(f"{PATH}?finish={uuid.uuid4()}").status_code == 404
        assert client.get(f"{PATH}?finish=nonsense").status_code == 404


def test_a_half_is_finished_once(pond_filter: Any, supervisor: Any, post: Any) -> None:
    post(supervisor, PATH, BEFORE)
    half = Cleanout.objects.get()
    data = {**BEFORE, **AFTER, "first_half": str(half.entry), "entry": str(uuid.uuid4())}
    first, again = post(supervisor, PATH, data), post(supervisor, PATH, data)
    assert (first.status_code, again.status_code) == (201, 200)
    other = post(supervisor, PATH, {**data, "entry": str(uuid.uuid4())})
    assert other.status_code == 422
    assert "already corrected" in text(other)
    assert Cleanout.objects.count() == 1


def test_undoing_the_second_half_leaves_the_first(pond_filter: Any, supervisor: Any) -> None:
    client = signed_in(supervisor)
    with on_the_day():
        client.post(PATH, {"when": "now", **BEFORE}, headers=HTMX)
        half = Cleanout.objects.get()
        client.post(PATH, {"when": "now", **BEFORE, **AFTER, "first_half": str(half.entry)}, headers=HTMX)
        done = Cleanout.objects.get()
        client.post(f"/entries/cleanout/{done.entry}/undo/", headers=HTMX)
    assert Cleanout.objects.get().stage == "before"
