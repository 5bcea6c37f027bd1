"""Every page, for every role that may open it, as it comes and as it refuses: by axe's rules, on a phone, with a thumb, in plain words.

The addresses come from the site itself, so a page that is added is read here without anybody thinking of it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.urls import get_resolver, resolve, reverse
from django.utils import timezone

from enclosures.actions.events import begin_season, log_health_note
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.photos import attach_photo
from enclosures.models import FoodItem, Moment, Role
from enclosures.roles import CORRECTORS
from tests.actions.station import make_enclosure, make_filter, stamp
from tests.boards.courses import dosed, prescribed
from tests.boards.kept import WHAT_IT_IS_WORTH, keep
from tests.boards.pond import answer, log_some_days, make_pond, make_turtles
from tests.helpers import assert_reads_well
from tests.pictures import jpeg
from tests.views.pages import signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# What answers to scripts, to other programs or to a button; and what only an enrolled tablet may open.
NO_PAGES = {
    "add-photo", "change-person", "device-roster", "device-token", "filter-preview", "health", "home", "manifest",
    "photo-file", "photo-thumbnail", "revoke-device", "secure-address", "service-worker", "sign-out", "take-over", "tell-unconfirmed",
    "undo-round-dose", "undo-round-stop", "upload-unsent",
}  # fmt: skip
OF_AN_ENTRY = {"correct-entry", "undo-entry", "withdraw-entry"}
WITHOUT_FIELDS = {
    "coming-changes",
    "doubtful-meals",
    "enrol-device",
    "feeding-plan",
    "program",
    "round-dose",
    "round-stop",
    "sign-in",
    "todays-round",
    "undo-entry",
    "what-if",
}  # a button alone, or tested with what it does
ROLES = (
    Role.ADMINISTRATOR, Role.SUPERVISOR, Role.BUILDER, Role.KEEPER, Role.VETERINARIAN, Role.READER, Role.COORDINATOR,
)  # fmt: skip
ENTRY = ("log-", "move-animals", "weigh-animals", "undo-entry", "withdraw-entry")
PHONE = {"width": 390, "height": 844}
THUMB_PX = 44
WCAG = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}

KEYPAD = re.compile(r'<div[^>]*class="keys\b.*?</div>', re.S)  # its point is a key, no full stop
SHAPES = re.compile(r'<(\w+)[^>]*?(?: class="([^"]*)")?[^>]*>')
TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
# A thumb may also hit the label around a box, or what a link covers by its ::after; a link in running text is as high as its line.
TOO_SMALL = """(thumb) => [...document.querySelectorAll('a[href], button, summary, select, textarea, input:not([type=hidden])')]
  .filter(e => e.checkVisibility({visibilityProperty: true}) && !e.closest('.skip, .unseen, .is-quiet'))
  .filter(e => !(e.matches('p a, li a') && getComputedStyle(e).display === 'inline'))
  .map(e => [e, Math.max(e.getBoundingClientRect().height, parseFloat(getComputedStyle(e, '::after').height) || 0,
                         e.closest('label, .with-unit')?.getBoundingClientRect().height || 0)])
  .filter(([e, px]) => px > 0 && px < thumb - 0.5)
  .map(([e, px]) => `${e.tagName} ${e.name || e.textContent.trim()} ${Math.round(px)} px`)"""
SPOIL = """for (const e of document.querySelectorAll('main form input:is([type=text], :not([type]), [type=password])'))
  e.value = e.name === 'code' || e.name === 'filter_code' ? 'a b' : 'abc'"""
SEND = "document.querySelector('main form:has(button:not([type=button]))').requestSubmit()"


@pytest.fixture
def station(facility: Any) -> dict[str, Any]:
    """A pond with days behind it, one at rest, a tub nobody measured, a quarantine, and a meal of this minute by K1."""
    today = timezone.localdate()
    pond = make_pond(facility)
    animals = make_turtles(pond.enclosure)
    animals[0].program = "SM-PA-23"  # the coordinator's
    animals[0].save()
    log_some_days(pond, until=today)
    row = answer(pond, as_of=today)
    row.detail["narrowing"] = {**WHAT_IT_IS_WORTH, "filter": "P1-F", "counted_now": 100, "counted_then": 40}
    row.save()
    for number in range(12):  # enough past forecasts to be drawn
        keep(pond, today - timedelta(days=400 + 40 * number), came=95 + 15 * number)
    resting = make_pond(facility, "P2")
    answer(resting, as_of=today, season="They are in winter rest: leave them be until about April.")
    begin_season(enclosure=resting.enclosure, kind="brumation", from_on=today - timedelta(days=20), stamp=stamp())
    make_filter(make_enclosure(facility, "T9", kind="tub", indoor=True)).builds.all().delete()
    make_enclosure(facility, "Q1", kind="quarantine", indoor=True)
    fed = log_feeding(
        enclosure=pond.enclosure,
        moment=Moment.of_instant(timezone.now(), zone=facility.zone),
        lines=[LineGiven(food_item=FoodItem.objects.get(code="pellet"), amount=1, unit="scoop", eaten="most")],
        stamp=stamp(timezone.now(), by="K1"),
        slot="pm",
    )
    note = log_health_note(
        moment=fed.record.moment, text="Foam", enclosure=pond.enclosure, stamp=stamp(timezone.now(), by="K1")
    ).record
    photo = attach_photo(note, data=jpeg(), moment=note.moment, stamp=stamp(timezone.now(), by="K1")).record
    course = prescribed(animals[0], from_on=today - timedelta(days=2), handling="Gloves.")
    dosed(course, today - timedelta(days=2))
    return {"animal": animals[0].code, "entry": fed.record.entry, "treatment": course.code, "photo": photo.entry}


@pytest.fixture
def people(request: Any) -> dict[Role, Any]:
    return {role: request.getfixturevalue(role.value) for role in ROLES}


@pytest.fixture
def phone(open_page: Any, people: dict[Role, Any]) -> Any:
    """A phone in an administrator's hand."""
    return open_page(people[Role.ADMINISTRATOR], "/entries/", viewport=PHONE)


@pytest.fixture
def axe() -> Callable[[Any], list[str]]:
    program = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="it is in tests/requirements.txt"
    ).Axe()

    def found(page: Any) -> list[str]:
        wrong = program.run(page, options=WCAG).response["violations"]
        return [f"{each['id']} ({each['impact']}): {each['nodes'][0]['html'][:150]}" for each in wrong]

    return found


def addresses(station: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Name and address of every page of the site, with what the station has put in the places; and the odd places beside P1."""
    patterns = get_resolver().reverse_dict
    for name in sorted(key for key in patterns if isinstance(key, str) and key not in NO_PAGES):
        text, places = patterns.getlist(name)[0][0][0]
        code = station["animal"] if text.startswith("animals/") else "P1-F" if text.startswith("filters/") else "P1"
        values = {"code": code, "table": "feedings", "entry": station["entry"], "treatment": station["treatment"]}
        if name == "photo":
            values["entry"] = station["photo"]
        yield name, reverse(name, kwargs={place: values[place] for place in places})
    for name, code in (
        ("enclosure-dashboard", "P2"), ("enclosure-dashboard", "T9"), ("enclosure-dashboard", "Q1"), ("log-feeding", "P2"),
        ("rebuild-filter", "T9-F"),
    ):  # fmt: skip
        yield name, reverse(name, args=[code])


def may_enter(url: str, name: str, role: Role) -> bool:
    if name in OF_AN_ENTRY and role not in CORRECTORS | {Role.KEEPER}:  # it is the keeper's own
        return False
    return role in getattr(resolve(url).func, "allowed_roles", set(ROLES))


def base_of(phone: Any) -> str:
    return "/".join(phone.url.split("/")[:3])


def said_badly(html: str) -> list[str]:
    try:
        assert_reads_well(KEYPAD.sub("", html))
    except AssertionError as problem:
        return [str(problem).partition("\n")[0]]
    return []


def laid_out_badly(phone: Any, *, name: str) -> list[str]:
    wrong = []
    if (more := phone.evaluate(TOO_WIDE)) > 0:
        wrong.append(f"{more} px wider than the phone")
    if name.startswith(ENTRY) and (small := phone.evaluate(TOO_SMALL, THUMB_PX)):
        wrong.append(f"too small for a thumb: {small}")
    return wrong


def test_every_page_of_every_role_can_be_read_reached_and_understood(
    phone: Any, people: dict[Role, Any], station: dict[str, Any], axe: Any
) -> None:
    """Its words for every role; on the phone, and by axe-core's WCAG 2.2 A and AA rules, where a role is shown what nobody before it was."""
    wrong: list[str] = []
    seen: dict[str, set[tuple[str, str]]] = {}
    n_read = 0
    for role in ROLES:
        client = signed_in(people[role])
        session = client.cookies["sessionid"].value
        phone.context.add_cookies([{"name": "sessionid", "value": session, "url": base_of(phone)}])
        for name, url in addresses(station):
            if not may_enter(url, name, role):
                continue
            answered = client.get(url, follow=True)
            assert answered.status_code == 200, f"{role.value} {url}: {answered.status_code}"
            n_read += 1
            html = answered.content.decode()
            found = said_badly(html)
            shapes = set(SHAPES.findall(html))
            if not shapes <= seen.setdefault(url, set()):
                seen[url] |= shapes
                phone.goto(base_of(phone) + url)
                found += laid_out_badly(phone, name=name) + axe(phone)
            wrong += [f"{role.value} {url}: {each}" for each in found]
    assert not wrong, "\n".join(wrong)
    assert n_read > 100


def test_every_form_refuses_in_words_that_anybody_can_find_and_read(
    phone: Any, station: dict[str, Any], axe: Any
) -> None:
    """Letters where figures belong and the rest left as it came: a page that can be read, with a sentence and no framework's."""
    wrong: list[str] = []
    refused = set()
    for name, url in addresses(station):
        if name in WITHOUT_FIELDS or not may_enter(url, name, Role.ADMINISTRATOR):
            continue
        phone.goto(base_of(phone) + url)
        if not phone.locator("main form:has(button:not([type=button]))").count():
            continue
        phone.evaluate(SPOIL)
        with phone.expect_response(lambda got: got.request.method == "POST" and "preview" not in got.url) as got:
            phone.evaluate(SEND)  # the button may lie under the bar at the foot of a phone
        if got.value.status != 422:
            continue
        refused.add(name)
        phone.locator("main :is(.problem, .wrong, .errorlist)").first.wait_for()
        html = phone.content()
        found = said_badly(html) + laid_out_badly(phone, name=name) + axe(phone)
        if "This field is required" in html or "Enter a " in html:
            found.append("says what a framework says")
        wrong += [f"{url} refused: {each}" for each in found]
    assert not wrong, "\n".join(wrong)
    assert {
        "set-up-enclosure",
        "rebuild-filter",
        "log-sounding",
        "log-feeding",
        "log-water-test",
        "log-flow",
    } <= refused


def always(html: str) -> Callable[[Any], None]:
    return lambda way: way.fulfill(body=html, content_type="text/html")


def test_what_is_not_there_or_not_open_is_a_page_too(
    phone: Any, stranger: Any, people: dict[Role, Any], axe: Any
) -> None:
    wrong: list[str] = []
    for user, url, status in (
        (people[Role.READER], "/nowhere/", 404),
        (people[Role.READER], "/enclosures/NOPE/", 404),
        (people[Role.READER], "/program/", 403),
        (people[Role.COORDINATOR], "/filters/", 403),
        (stranger, "/", 403),
    ):
        answered = signed_in(user).get(url)
        assert answered.status_code == status
        html = answered.content.decode()
        # As a kept answer of 200: a visit to the real one would count as an error of the browser's.
        phone.route(base_of(phone) + url, always(html))
        phone.goto(base_of(phone) + url)
        wrong += [f"{url}: {each}" for each in [*said_badly(html), *laid_out_badly(phone, name=""), *axe(phone)]]
    assert not wrong, "\n".join(wrong)
