"""Every awkward case is really in the record, as often as the story says."""

from __future__ import annotations

from datetime import datetime, timedelta

from enclosures.scenarios.rows import Tables

from .reading import entries, instant, live


def flagged(tables: Tables, code: str) -> list[dict[str, str]]:
    return [r for r in entries(tables) if code in r.get("flags", "").split()]


def test_one_meal_was_entered_from_memory(tables: Tables) -> None:
    (meal,) = flagged(tables, "MEM")
    assert (meal["occurred_at"][:10], meal["entered_at"][:10], meal["how"]) == ("2025-01-05", "2025-01-06", "late")


def test_two_readings_are_beyond_the_kit(tables: Tables) -> None:
    beyond = [(r["enclosure"], r["analyte"], r["value"]) for r in tables["water_tests"] if r.get("qualifier") == ">"]
    assert beyond == [("T2", "tan", "8"), ("T2", "nitrite", "5")]


def test_nine_entries_were_made_with_a_clock_an_hour_slow(tables: Tables) -> None:
    slow = [r for r in entries(tables) if r.get("clock_offset_s") == "-3600"]
    assert len(slow) == 9
    for r in slow:
        assert datetime.fromisoformat(r["entered_at"]) - datetime.fromisoformat(r["device_at"]) == timedelta(hours=1)


def test_thirty_one_entries_came_three_days_late(tables: Tables) -> None:
    late = [r for r in entries(tables) if r["entered_at"] == "2024-04-15T12:00+02:00" and "ended_at" not in r]
    assert len(late) == 31
    for r in late:
        assert instant(r["entered_at"]) - instant(r["occurred_at"]) > timedelta(hours=48)


def test_two_repeats_are_still_undecided(tables: Tables) -> None:
    undecided = {r["entry"]: r for r in live(tables["feedings"]) if "DUP" in r.get("flags", "")}
    assert sorted(r["enclosure"] for r in undecided.values()) == ["G1", "P4"]
    withdrawn = {r["entry"] for r in tables["feedings"] if r.get("withdrawn") == "true"}
    assert len(withdrawn) == 1


def test_three_tests_were_put_under_the_right_kit(tables: Tables) -> None:
    right = flagged(tables, "KIT")
    assert len(right) == 3
    wrong = {r["supersedes"] for r in right}
    old = [r for r in tables["water_tests"] if r["entry"] in wrong and r["analyte"] == "tan"]
    new = [r for r in tables["water_tests"] if r.get("supersedes") in wrong and r["analyte"] == "tan"]
    assert {(r["kit"], r["expressed_as"]) for r in old} == {("A-ammonia", "NH3")}
    assert {(r["kit"], r["expressed_as"]) for r in new} == {("B-ammonia", "N")}
    assert [r["value"] for r in old] == [r["value"] for r in new]  # the raw reading is never altered


def test_four_units_were_converted_at_entry(tables: Tables) -> None:
    converted = flagged(tables, "UNIT")
    assert len(converted) == 4
    assert all(r["note"] for r in converted)


def test_ounces_gallons_and_fahrenheit_became_what_they_are(tables: Tables) -> None:
    """1 oz = 28.3495 g, 1 US gal = 3.78541 L (NIST Handbook 44, appendix C); 77 °F = 25 °C."""
    said = {r["occurred_at"][:10]: r for r in flagged(tables, "UNIT")}
    assert abs(float(said["2023-08-05"]["mass_g"]) - 5.6 * 28.3495) < 0.1
    assert abs(float(said["2024-12-02"]["volume_l"]) - 40 * 3.78541) < 0.1
    assert float(said["2023-11-18"]["value"]) == (77 - 32) / 1.8


def test_four_animals_have_a_father_in_doubt(tables: Tables) -> None:
    doubtful = [r["animal"] for r in tables["animals"] if len(r.get("sire_candidates", "").split()) > 1]
    assert doubtful == ["BL-127", "BL-128", "BL-129", "BL-130"]


def test_one_animal_was_entered_twice_and_merged(tables: Tables) -> None:
    merged = [(r["animal"], r["merged_into"]) for r in tables["animals"] if r["merged_into"]]
    assert merged == [("BL-126", "BL-103")]


def test_a_meal_was_moved_to_its_own_pond(tables: Tables) -> None:
    moved = [r for r in tables["feedings"] if r.get("reason", "").startswith("Logged on P2")]
    assert moved
    wrong = [r for r in tables["feedings"] if r["entry"] == moved[0]["supersedes"]]
    assert {r["enclosure"] for r in wrong} == {"P2"}
    assert {r["enclosure"] for r in moved} == {"P1"}
    assert [r["offered_g"] for r in wrong] == [r["offered_g"] for r in moved]


def test_the_pump_swap_was_written_down_twelve_days_late(tables: Tables) -> None:
    swap = next(r for r in tables["upkeep"] if r["kind"] == "pump_swap" and r["occurred_at"].startswith("2025-04-28"))
    assert swap["entered_at"].startswith("2025-05-10")


def test_the_sick_animal_ate_in_two_places_on_one_day(tables: Tables) -> None:
    day = "2025-08-02"
    fed = {r["enclosure"]: r["occurred_at"] for r in tables["feedings"] if r["occurred_at"].startswith(day)}
    moved = next(r["from_at"] for r in tables["stays"] if r["animal"] == "BL-115" and r["from_at"].startswith(day))
    assert fed["P3"] < moved < fed["B2"]


def test_the_part_cleanout_measured_neither_depth_nor_volume(tables: Tables) -> None:
    (part,) = [r for r in tables["cleanouts"] if r["outcome"] == "part"]
    assert (part["filter"], part["depth_before_qualifier"]) == ("P2-F", ">=")
    assert not part.get("depth_after_mm")
    assert not part.get("slurry_l")


def test_nobody_was_fed_in_the_winter_rest_or_the_power_cut(tables: Tables) -> None:
    rests = [(r["enclosure"], r["from_on"], r["to_on"]) for r in tables["seasons"] if r["kind"] == "brumation"]
    for r in live(tables["feedings"]):
        day = r["occurred_at"][:10]
        assert not any(place == r["enclosure"] and first <= day <= last for place, first, last in rests)
        if day == "2025-07-08":
            assert r["not_fed_reason"] == "power cut"


def test_quarantine_and_grow_out_have_no_void(tables: Tables) -> None:
    built = {r["filter"] for r in tables["filter_builds"]}
    assert {r["enclosure"] for r in tables["filters"] if r["filter"] not in built} == {"Q1", "G1"}
