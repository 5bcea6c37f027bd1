"""A photo taken on the tablet, with network and without: kept with its entry, sent after it, once, and never in anybody's way."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.journeys.real_server import RealServer
from tests.journeys.tablet import all_gone, kept_pages, says, sign_in, unsent
from tests.pictures import half_and_half, jpeg, opened

pytestmark = [pytest.mark.browser]


def picture(width: int = 2400, height: int = 1800, **more: Any) -> dict[str, Any]:
    return {"name": "IMG_0001.jpg", "mimeType": "image/jpeg", "buffer": jpeg(half_and_half(width, height), **more)}


def take(page: Any, file: dict[str, Any] | None = None, *, within: str = "form", n: int = 1) -> None:
    page.locator(within).locator("[name=photo]").set_input_files(file or picture(with_place=True))
    page.locator(within).locator(".photo-list img").nth(n - 1).wait_for()


def note_page(context: Any, server: RealServer, place: str) -> Any:
    page = context.pages[0]
    page.goto(f"{server.url}/enclosures/{place}/health-notes/")
    return page


def save_note(page: Any, text: str) -> None:
    page.locator("[name=text]").fill(text)
    page.locator("[data-save]").click()


def notes(server: RealServer, place: str) -> list[list[Any]]:
    """Text and number of photos of every health note of a tank."""
    return list(
        server.run(
            "import json; from enclosures.models import HealthNote as H, Photo as P;"
            "print(json.dumps([[h.text, P.objects.filter(of_entry=h.entry).count()]"
            f" for h in H.objects.filter(enclosure__code='{place}').order_by('pk')]))"
        )
    )


def photos(server: RealServer) -> list[dict[str, Any]]:
    return list(
        server.run(
            "import json; from enclosures.models import Photo as P, photo_path;"
            "print(json.dumps([{'entry': str(p.entry), 'of': str(p.of_entry), 'table': p.table, 'path': str(photo_path(p.digest)),"
            " 'size': [p.width_px, p.height_px], 'by': p.entered_by, 'sent_by': p.sent_by, 'caption': p.caption}"
            " for p in P.all_rows.order_by('pk')]))"
        )
    )


def since(server: RealServer, before: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return photos(server)[len(before) :]


def test_with_network_a_photo_is_made_small_and_goes_behind_its_entry(tablet: Any, server: RealServer) -> None:
    place, before = server.place(), photos(server)
    page = note_page(tablet(), server, place)
    take(page, picture(with_place=True, orientation=6))
    page.locator(".photo-list").get_by_label("What it shows").fill("Foam at the weir")
    save_note(page, "Foam")
    page.locator("#saved").wait_for()
    all_gone(page)
    (photo,) = since(server, before)
    assert notes(server, place) == [["Foam", 1]]
    assert photo["size"] == [1200, 1600], "held upright, longest side 1,600 px"
    assert photo["caption"] == "Foam at the weir"
    data = Path(photo["path"]).read_bytes()
    assert len(opened(data).getexif()) == 0
    page.goto(f"{server.url}/enclosures/{place}/")
    small = page.get_by_alt_text("Foam at the weir")
    small.scroll_into_view_if_needed()  # it is loaded only when it is near
    assert small.evaluate("(img) => img.decode().then(() => img.naturalHeight)") == 320
    small.click()
    page.wait_for_url("**/photos/**")


def test_two_stops_and_a_photo_without_network_arrive_once_each_after_a_reload(
    tablet: Any,
    server: RealServer,
) -> None:
    before = photos(server)
    context = tablet(service_workers="allow")
    page = context.pages[0]
    page.goto(f"{server.url}/enclosures/")
    kept_pages(page, f"{server.url}/round/?slot=am")
    context.set_offline(True)
    page.goto(f"{server.url}/round/?slot=am")
    page.locator("#stop-R01 .different").click()
    take(page, within="#stop-R01 .differences")
    page.locator("#stop-R01 .save").click()
    page.locator("#stop-R02 .as-planned").click()
    page.locator("[data-unsent]", has_text="3 waiting to send (1 photo)").first.wait_for()
    page.reload()
    page.locator("[data-unsent]", has_text="3 waiting to send (1 photo)").first.wait_for()
    kept = unsent(page)
    assert [bool(item.get("after")) for item in kept] == [False, True, False]
    assert kept[1]["after"] == kept[0]["entry"]
    posts: list[str] = []
    context.on("request", lambda request: posts.append(request.url) if request.method == "POST" else None)
    context.set_offline(False)
    all_gone(page)
    assert [url.split("/")[3] for url in posts] == ["round", "round", "entries"], "the photo went last, each once"
    (photo,) = since(server, before)
    assert photo["entry"] == kept[1]["entry"]
    assert photo["table"] == "roundcheck"
    odd = server.run(
        "import json; from enclosures.models import RoundCheck as R;"
        f"print(json.dumps([r.odd for r in R.objects.filter(entry='{photo['of']}')]))"
    )
    assert odd == ["see the photo"]
    assert [len(server.meals(code)) for code in ("R01", "R02")] == [1, 1]


def test_an_answer_lost_after_the_photo_was_kept_makes_no_second_one(tablet: Any, server: RealServer) -> None:
    place, before = server.place(), photos(server)
    page = note_page(tablet(), server, place)
    lost: list[int] = []

    def cut(route: Any) -> None:
        if lost:
            route.continue_()
        else:
            lost.append(route.fetch().status)
            route.abort("connectionreset")

    page.route("**/photos/", cut)
    take(page)
    save_note(page, "Foam")
    page.locator("#saved").wait_for()
    page.locator("[data-unsent]", has_text="1 waiting to send (1 photo)").first.wait_for()
    while not lost:
        page.wait_for_timeout(50)
    assert lost == [201]
    page.evaluate("sendOutbox.now()")
    all_gone(page)
    assert len(since(server, before)) == 1


def spoil(page: Any) -> None:
    """The picture on the tablet turns into something that is none."""
    page.evaluate(
        "outbox.list().then((all) => Promise.all(all.filter((each) => each.after)"
        ".map((each) => outbox.mark(each.entry, { fields: [['photo', new Blob(['no picture'])]] }))))"
    )


def test_a_photo_that_is_refused_blocks_nothing_and_waits_with_the_reason(tablet: Any, server: RealServer) -> None:
    place, before = server.place(), photos(server)
    context = tablet()
    page = note_page(context, server, place)
    context.set_offline(True)
    take(page)
    save_note(page, "Foam")
    says(page, "Saved on this tablet")
    spoil(page)
    page.evaluate("document.querySelector('[data-status]').replaceChildren()")
    save_note(page, "Algae")
    says(page, "Saved on this tablet")
    context.set_offline(False)
    page.locator("[data-unsent]", has_text="1 needs you").first.wait_for()
    assert notes(server, place) == [["Foam", 0], ["Algae", 0]]
    (left,) = unsent(page)
    assert left["state"] == "needs-you"
    page.goto(f"{server.url}/device/outbox/")
    page.get_by_text("This is not a photo in JPEG, PNG or WebP").wait_for()
    page.on("dialog", lambda dialog: dialog.accept())
    with page.expect_download():
        page.get_by_role("button", name="Discard").click()
    page.get_by_text("Nothing waits on this tablet").wait_for()
    assert since(server, before) == []


@pytest.mark.parametrize("status", [413, 500])
def test_a_server_that_cannot_take_the_photo_still_gets_the_entries(
    tablet: Any,
    server: RealServer,
    status: int,
) -> None:
    place, before = server.place(), photos(server)
    context = tablet()
    page = note_page(context, server, place)
    page.route("**/photos/", lambda route: route.fulfill(status=status, body="no"))
    context.set_offline(True)
    for text in ("Foam", "Algae"):
        take(page)
        save_note(page, text)
        says(page, "Saved on this tablet")
        page.evaluate("document.querySelector('[data-status]').replaceChildren()")
    context.set_offline(False)
    for _ in range(6):
        page.evaluate("sendOutbox.now()")
    page.locator("[data-unsent]", has_text="2 need you").first.wait_for()
    assert notes(server, place) == [["Foam", 0], ["Algae", 0]]
    page.unroute("**/photos/")
    page.goto(f"{server.url}/device/outbox/")
    page.get_by_role("button", name="Send all now").click()
    all_gone(page)
    assert notes(server, place) == [["Foam", 1], ["Algae", 1]]
    assert len(since(server, before)) == 2


def test_a_photo_for_which_there_is_no_room_is_said_and_its_entry_is_kept(tablet: Any, server: RealServer) -> None:
    place = server.place()
    context = tablet()
    page = note_page(context, server, place)
    page.evaluate(
        """() => { const put = IDBObjectStore.prototype.put;
             IDBObjectStore.prototype.put = function (item) {
               if (item.after) return this.transaction.abort();
               return put.call(this, item); }; }"""
    )
    context.set_offline(True)
    take(page)
    save_note(page, "Foam")
    says(page, "Saved on this tablet")
    page.get_by_text("This tablet has no room for the photo. The entry is kept without it.").wait_for()
    context.set_offline(False)
    all_gone(page)
    assert notes(server, place) == [["Foam", 0]]


def test_a_browser_that_keeps_nothing_sends_the_photo_at_once(tablet: Any, server: RealServer) -> None:
    place = server.place()
    context = tablet()
    context.add_init_script(
        "IDBFactory.prototype.open = () => { throw new DOMException('The operation is insecure.', 'SecurityError'); };"
    )
    page = note_page(context, server, place)
    take(page)
    save_note(page, "Foam")
    page.locator("#saved").wait_for()
    assert notes(server, place) == [["Foam", 1]]


def test_a_form_that_is_refused_keeps_its_photo(tablet: Any, server: RealServer) -> None:
    place = server.place()
    page = note_page(tablet(), server, place)
    take(page)
    page.locator("[data-save]").click()  # nothing said
    page.locator(".problem").first.wait_for()
    assert page.locator(".photo-list img").count() == 1
    take(page, picture(800, 600), n=2)
    save_note(page, "Foam")
    page.locator("#saved").wait_for()
    all_gone(page)
    assert notes(server, place) == [["Foam", 2]]


def test_a_kept_entry_opened_to_be_changed_shows_its_photo_which_can_be_taken_off(
    tablet: Any,
    server: RealServer,
) -> None:
    place = server.place()
    context = tablet()
    page = note_page(context, server, place)
    page.route("**/device/token/", lambda route: route.abort())
    take(page)
    take(page, picture(800, 600), n=2)
    save_note(page, "Foam")
    says(page, "Saved on this tablet")
    page.goto(f"{server.url}/device/outbox/")
    page.locator("[data-list] li img").nth(1).wait_for()
    page.get_by_role("link", name="Change").click()
    page.locator(".photo-list img").nth(1).wait_for()
    page.get_by_role("button", name="Remove photo 1").click()
    page.locator(".photo-list img").nth(1).wait_for(state="detached")
    page.unroute("**/device/token/")
    save_note(page, "Foam, brown")
    page.locator("#saved").wait_for()
    all_gone(page)
    assert notes(server, place) == [["Foam, brown", 1]]


def test_undoing_a_stop_that_waits_takes_its_photo_off_the_tablet_too(tablet: Any, server: RealServer) -> None:
    page = tablet().pages[0]
    page.goto(f"{server.url}/round/?slot=am")
    page.route("**/device/token/", lambda route: route.abort())
    page.locator("#stop-R05 .different").click()
    take(page, within="#stop-R05 .differences")
    page.locator("#stop-R05 .save").click()
    page.locator("[data-unsent]", has_text="2 waiting to send (1 photo)").first.wait_for()
    page.wait_for_timeout(800)  # the second tap of a double tap undoes nothing
    page.locator("#stop-R05 .kept-undo").click()
    all_gone(page)


def test_the_file_of_a_stranded_tablet_brings_its_photos_along(tablet: Any, server: RealServer) -> None:
    place, before = server.place(), photos(server)
    context = tablet()
    page = note_page(context, server, place)
    page.route("**/device/token/", lambda route: route.abort())
    take(page)
    save_note(page, "Foam")
    says(page, "Saved on this tablet")
    page.goto(f"{server.url}/device/outbox/")
    with page.expect_download() as file:
        page.get_by_role("button", name="Download unsent entries").click()
    kept = Path(file.value.path()).with_name("unsent-entries.json")
    kept.write_bytes(Path(file.value.path()).read_bytes())
    told = json.loads(kept.read_text())["entries"]
    assert told[1]["fields"][0][1]["type"] == "image/jpeg"
    page.evaluate("outbox.list().then((all) => Promise.all(all.map((each) => outbox.remove(each.entry))))")  # it breaks
    page.unroute("**/device/token/")
    context.clear_cookies(name="sessionid")
    sign_in(context, server, "SUP")
    page.goto(f"{server.url}/device/outbox/upload/")
    for _ in range(2):
        page.set_input_files("[data-upload]", [])
        page.set_input_files("[data-upload]", kept)
        page.get_by_text("2 read, 2 sent, 0 still here.").wait_for()
    (photo,) = since(server, before)
    assert (photo["by"], photo["sent_by"], photo["size"]) == ("K1", "SUP", [1600, 1200])
    assert notes(server, place) == [["Foam", 1]]


def test_a_picture_that_the_browser_cannot_read_is_said_beside_the_button(tablet: Any, server: RealServer) -> None:
    page = note_page(tablet(), server, server.place())
    heic = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"\x00" * 500
    page.locator("[name=photo]").set_input_files({"name": "IMG.HEIC", "mimeType": "image/heic", "buffer": heic})
    page.get_by_text("Set the camera to JPEG").wait_for()
    assert page.locator(".photo-list img").count() == 0


def test_a_photo_under_a_name_picked_without_a_pin_goes_with_its_entry_once_that_person_says_so(
    tablet: Any, server: RealServer
) -> None:
    place, before = server.place(), photos(server)
    context = tablet()
    page = note_page(context, server, place)
    context.set_offline(True)
    page.evaluate("atTablet.take('K2')")
    take(page)
    save_note(page, "Foam")
    says(page, "It is sent once K2 has confirmed the name.")
    context.set_offline(False)
    page.evaluate("sendOutbox.now()")
    assert len(unsent(page)) == 2
    context.clear_cookies(name="sessionid")
    sign_in(context, server, "K2")
    page.goto(f"{server.url}/device/outbox/")
    mine = page.get_by_role("button", name="It is mine, send it")
    mine.first.wait_for()
    assert mine.count() == 1, "asked once, for the entry"
    mine.click()
    all_gone(page)
    (photo,) = since(server, before)
    assert (photo["by"], photo["sent_by"]) == ("K2", "")
    assert notes(server, place) == [["Foam", 1]]
