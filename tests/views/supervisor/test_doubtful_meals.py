from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.models import Feeding, RecordFlag
from tests.actions.station import at, make_pellet, stamp
from tests.boards.pond import answer, make_pond
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db
URL = reverse("doubtful-meals")


@pytest.fixture
def repeat(facility: Any) -> Feeding:
    place, pellet = make_pond(facility).enclosure, make_pellet()
    given = [LineGiven(food_item=pellet, amount=1, unit="scoop", eaten="all")]
    for minute, by in ((5, "K1"), (40, "K2")):
        log_feeding(enclosure=place, moment=at(TODAY, 7, minute, facility), lines=given, slot="am", stamp=stamp(by=by))
    return Feeding.objects.get(entered_by="K2")


def test_a_meal_that_may_be_a_repeat_is_shown_beside_the_first_and_counts_once_somebody_says_so(
    client: Any, supervisor: Any, repeat: Feeding
) -> None:
    client.force_login(supervisor)
    html = client.get(URL).content.decode()
    assert "07:40, K2" in html.replace("\u00a0", " ")
    assert "07:05, K1" in html.replace("\u00a0", " ")
    after = client.post(URL, {"meal": str(repeat.entry)}, follow=True).content.decode()
    assert "No meal waits to be looked at." in after
    flag = RecordFlag.objects.get(entry=repeat.entry)
    assert (flag.code, flag.resolution) == ("DUP", "kept")


def test_the_filters_lead_to_it_only_while_something_waits_and_only_who_may_settle_it(
    client: Any, supervisor: Any, keeper: Any, repeat: Feeding
) -> None:
    row = answer(repeat.enclosure.filters.get())
    place = reverse("filters-that-need-you")
    client.force_login(supervisor)
    assert URL not in client.get(place).content.decode()
    row.detail["notes"] = ["One meal that may be a repeat is left out until somebody looks at it."]
    row.save()
    assert URL in client.get(place).content.decode()
    client.force_login(keeper)
    assert URL not in client.get(place).content.decode()


def test_another_meal_cannot_be_settled_here(client: Any, supervisor: Any, repeat: Feeding) -> None:
    client.force_login(supervisor)
    first = Feeding.objects.get(entered_by="K1")
    assert client.post(URL, {"meal": str(first.entry)}).status_code == 404


def test_a_keeper_does_not_settle_them(client: Any, keeper: Any, repeat: Feeding) -> None:
    client.force_login(keeper)
    assert client.get(URL).status_code == 403
