"""A small invented station as rows of text: every record table, with corrections, withdrawals, parts and flags."""

from __future__ import annotations

Row = dict[str, str]
Tables = dict[str, list[Row]]

FED, FED_RIGHT, FED_AGAIN, NOT_FED = (f"0000000{n}-0000-4000-8000-000000000001" for n in (1, 2, 3, 4))
SOUNDED, SOUNDED_GONE = (f"0000000{n}-0000-4000-8000-000000000002" for n in (1, 2))
TESTED, CLEANED, WEIGHED, SICK = (f"0000000{n}-0000-4000-8000-000000000003" for n in (1, 2, 3, 4))
OTHERS = [f"0000000{n}-0000-4000-8000-000000000004" for n in range(1, 8)]
MOVING, MOVING_OFF, COMING, RESTING, LEAVING, LEAVING_TOO = (
    f"0000000{n}-0000-4000-8000-000000000006" for n in range(1, 7)
)
DOSED, DOSED_RIGHT, REFUSED = (f"0000000{n}-0000-4000-8000-000000000007" for n in (1, 2, 3))
PICTURED, PICTURED_RIGHT = (f"0000000{n}-0000-4000-8000-000000000008" for n in (1, 2))
ASKED, ASKED_DONE, LOOKED, SKIPPED = (f"0000000{n}-0000-4000-8000-000000000005" for n in (1, 2, 3, 4))


def contract() -> Tables:
    """Only the tables and columns that a forecast cannot do without."""
    return {
        "enclosures": [
            {"enclosure": "P1", "kind": "pond", "indoor": "false", "water_volume_l": "7800"},
            {"enclosure": "T1", "kind": "tub", "indoor": "true", "water_volume_l": "80"},
        ],
        "filters": [{"filter": "P1-F", "enclosure": "P1", "kind": "upflow"}],
        "filter_builds": [
            {"filter": "P1-F", "valid_from": "2023-03-25", "chamber_area_m2": "0.45", "void_height_mm": "150"}
        ],
        "food_items": [
            {"food_item": "pellet", "food_class": "pellet", "moisture_percent": "8", "protein_percent": "40"}
        ],
        "feedings": [
            {"enclosure": "P1", "occurred_at": f"2024-05-{day:02}", "food_item": "pellet", "offered_g": "37"}
            for day in range(1, 29)
        ],
        "soundings": [{"filter": "P1-F", "occurred_at": "2024-05-28", "depth_mm": "75"}],
    }


def whole() -> Tables:
    """Every record table has at least one row."""
    return {
        "facility": [
            {
                "name": "Test station, “north”",
                "code": "TS",
                "time_zone": "Europe/Paris",
                "default_due_fill": "0.65",
                "address": "1 Mill Lane\nLower Vale",
                "monthly_temp_c": "4 5 8 13 18 23 26.5 25 21 15 9 5",
                "room_temp_c": "24.5",
                "temperature_unit": "F",
            }
        ],
        "enclosures": [
            {
                "enclosure": "P1",
                "name": "Pond one",
                "kind": "pond",
                "indoor": "false",
                "water_volume_l": "7800",
                "surface_m2": "14",
                "litter_level": "near",
                "litter_g_m2_year": "220.5",
                "note": 'He said "deep", and it is.\r\nMind the step.',
            },
            {"enclosure": "T1", "kind": "tub", "indoor": "true", "water_volume_l": "80", "closed_on": "2026-01-01"},
        ],
        "seasons": [{"enclosure": "P1", "kind": "brumation", "from_on": "2024-11-02", "to_on": "2025-03-20"}],
        "filters": [
            {"filter": "P1-F", "enclosure": "P1", "kind": "upflow", "commissioned_on": "2018-05-01"},
            {"filter": "T1-S", "enclosure": "T1", "kind": "sponge"},
        ],
        "filter_builds": [
            {
                "filter": "P1-F",
                "valid_from": "2018-05-01",
                "chamber_area_m2": "0.45",
                "void_height_mm": "150",
                "usable_fraction": "0.75",
                "baseline_flow_l_per_h": "2400",
                "has_weir": "true",
            },
            {
                "filter": "P1-F",
                "valid_from": "2025-03-29",
                "chamber_area_m2": "0.45",
                "void_height_mm": "240",
                "closes_disagreement": "true",
                "reason": "void raised",
            },
        ],
        "media_layers": [
            {"filter": "P1-F", "valid_from": "2018-05-01", "position": "1", "material": "lava", "depth_mm": "150"},
            {"filter": "P1-F", "valid_from": "2018-05-01", "position": "2", "material": "gravel", "depth_mm": "80"},
        ],
        "pumps": [{"pump": "PU-1", "rated_l_per_h": "4000", "watts": "35"}],
        "pump_fittings": [{"pump": "PU-1", "filter": "P1-F", "from_on": "2018-05-01", "to_on": "2025-04-28"}],
        "taxa": [{"taxon": "Emys orbicularis", "common_name": "European pond turtle", "brumates": "true"}],
        "clutches": [{"clutch": "C1", "taxon": "Emys orbicularis", "laid_on": "2024-06-08", "n_eggs": "2"}],
        "animals": [
            {"animal": "TS-1", "taxon": "Emys orbicularis", "sex": "female", "hatched_to": "1990-01-01", "origin": "wild"},
            {"animal": "TS-2", "taxon": "Emys orbicularis", "hatched_from": "2024-08-13", "hatched_to": "2024-08-13",
             "clutch": "C1", "program": "EO-1"},
            {"animal": "TS-3", "taxon": "Emys orbicularis", "sex": "female", "merged_into": "TS-1"},
        ],
        "eggs": [
            {"clutch": "C1", "number": "1", "outcome": "hatched", "animal": "TS-2"},
            {"clutch": "C1", "number": "2", "outcome": "infertile", "mass_g": "7.25"},
        ],
        "marks": [{"animal": "TS-1", "kind": "shell notch", "scheme": "alphabetic", "value": "AB-L"}],
        "stays": [
            {"animal": "TS-1", "enclosure": "P1", "from_at": "2018-05-01", "to_at": "2025-08-02T13:40+02:00"},
            {"animal": "TS-1", "enclosure": "T1", "from_at": "2025-08-02T13:40+02:00", "to_at": ""},
            {"animal": "TS-2", "enclosure": "T1", "from_at": "2024-08-13", "to_at": ""},
        ],
        "measurements": [
            {"entry": WEIGHED, "animal": "TS-1", "occurred_at": "2025-05-01T09:00+02:00", "mass_g": "742", "scl_mm": "153"}
        ],
        "planned_moves": [
            {"entry": MOVING, "from_enclosure": "T1", "to_enclosure": "P1", "occurred_at": "2025-09-01",
             "planned_on": "2026-05-01", "mover": "1", "animal": "TS-2", "entered_by": "SUP"},
            {"entry": MOVING, "from_enclosure": "T1", "to_enclosure": "P1", "occurred_at": "2025-09-01",
             "planned_on": "2026-05-01", "mover": "2", "animal": "TS-1", "entered_by": "SUP"},
            {"entry": MOVING_OFF, "from_enclosure": "T1", "to_enclosure": "P1", "occurred_at": "2025-09-01",
             "planned_on": "2026-05-01", "mover": "1", "animal": "TS-2", "state": "off", "supersedes": MOVING,
             "reason": "the winter was too long", "entered_by": "SUP"},
            {"entry": COMING, "to_enclosure": "P1", "occurred_at": "2025-09-01", "planned_on": "2026-06-01", "mover": "0",
             "n_animals": "2", "taxon": "Emys orbicularis", "mass_g": "450"},
            {"entry": LEAVING, "from_enclosure": "T1", "occurred_at": "2025-09-01", "planned_on": "2026-06-01", "mover": "1",
             "animal": "TS-2"},
            {"entry": LEAVING_TOO, "from_enclosure": "T1", "occurred_at": "2025-09-01", "planned_on": "2026-06-02", "mover": "1",
             "animal": "TS-2"},
            {"entry": LEAVING_TOO, "from_enclosure": "T1", "occurred_at": "2025-09-01", "planned_on": "2026-06-02", "mover": "2",
             "animal": "TS-1"},
        ],
        "planned_seasons": [
            {"entry": RESTING, "enclosure": "P1", "occurred_at": "2025-09-01", "kind": "brumation",
             "from_on": "2025-11-02", "to_on": "2026-03-22"}
        ],
        "food_items": [
            {"food_item": "pellet", "food_class": "pellet", "moisture_percent": "8", "protein_percent": "40",
             "units": "piece=0.4; scoop=26"},
            {"food_item": "pellet", "food_class": "pellet", "valid_from": "2025-02-01", "moisture_percent": "8",
             "protein_percent": "36"},
            {"food_item": "worm", "food_class": "worm", "moisture_percent": "83.6", "protein_percent": "10.5"},
        ],
        "feeding_plans": [
            {"plan": "P1-am-1", "enclosure": "P1", "slot": "am", "weekdays": "mon wed fri", "from_on": "2025-04-01",
             "to_on": "2025-10-31", "food_item": "pellet", "amount": "1.5", "unit": "scoop", "offered_g": "39",
             "not_below_c": "14", "less_below_c": "19", "less_share": "0.5", "entered_by": "SUP"},
            {"plan": "P1-am-1", "enclosure": "P1", "slot": "am", "weekdays": "mon wed fri", "from_on": "2025-04-01",
             "to_on": "2025-10-31", "food_item": "worm", "offered_g": "12.5", "not_below_c": "14", "less_below_c": "19",
             "less_share": "0.5", "entered_by": "SUP"},
            {"plan": "TS-2-pm-1", "animal": "TS-2", "slot": "pm", "from_on": "2025-06-01", "food_item": "worm", "every_days": "3",
             "offered_g": "2", "pauses_in_winter": "false"},
        ],
        "instructions": [
            {"entry": ASKED, "enclosure": "P1", "occurred_at": "2025-05-01T09:00+02:00", "text": "Look for the leak",
             "from_on": "2025-05-02", "to_on": "2026-05-09", "entered_by": "SUP"},
            {"entry": ASKED_DONE, "enclosure": "P1", "occurred_at": "2025-05-01T09:00+02:00", "text": "Look for the leak",
             "from_on": "2025-05-02", "to_on": "2026-05-09", "is_done": "true", "supersedes": ASKED, "reason": "done",
             "entered_at": "2025-05-03T06:00:00Z", "entered_by": "K1"},
        ],
        "round_checks": [
            {"entry": LOOKED, "enclosure": "P1", "occurred_at": "2025-05-01T07:51+02:00", "slot": "am", "head_count": "0",
             "n_expected": "1", "odd": "Foam at the weir,\nand a smell."}
        ],
        "round_skips": [
            {"entry": SKIPPED, "enclosure": "T1", "occurred_at": "2025-05-01T08:00+02:00", "slot": "am", "cause": "locked"}
        ],
        "feedings": [
            {"entry": FED, "enclosure": "P1", "occurred_at": "2025-05-01T07:50+02:00", "food_item": "pellet",
             "offered_g": "26", "amount": "1", "unit": "scoop", "slot": "am", "outcome": "planned",
             "entered_at": "2025-05-01T05:52:07.123456Z", "entered_by": "K1", "how": "round"},
            {"entry": FED, "enclosure": "P1", "occurred_at": "2025-05-01T07:50+02:00", "food_item": "worm",
             "offered_g": "12.5", "eaten": "most", "slot": "am", "outcome": "planned",
             "entered_at": "2025-05-01T05:52:07.123456Z", "entered_by": "K1", "how": "round"},
            {"entry": FED_RIGHT, "enclosure": "T1", "occurred_at": "2025-05-01T07:50+02:00", "food_item": "pellet",
             "offered_g": "26", "supersedes": FED, "reason": "logged to the wrong enclosure",
             "entered_at": "2025-05-02T08:00:00Z", "entered_by": "SUP"},
            {"entry": FED_AGAIN, "enclosure": "T1", "occurred_at": "2025-05-01T07:50+02:00", "food_item": "pellet",
             "offered_g": "26", "supersedes": FED_RIGHT, "withdrawn": "true", "reason": "never happened",
             "entered_at": "2025-05-03T08:00:00Z", "entered_by": "SUP"},
            {"entry": NOT_FED, "enclosure": "P1", "occurred_at": "2025-01-05", "outcome": "not_fed",
             "not_fed_reason": "winter rest"},
        ],
        "test_kits": [
            {"kit": "A", "analyte": "tan", "reports_as": "NH3", "steps": "0 0.2 0.5 1 2 3 5 8", "upper": "8"}
        ],
        "water_tests": [
            {"entry": TESTED, "enclosure": "P1", "occurred_at": "2025-05-01T09:00+02:00", "analyte": "tan",
             "value": "0.5", "unit": "mg/L", "kit": "A"},
            {"entry": TESTED, "enclosure": "P1", "occurred_at": "2025-05-01T09:00+02:00", "analyte": "temperature",
             "value": "64.4", "unit": "degF"},
            {"entry": TESTED, "enclosure": "P1", "occurred_at": "2025-05-01T09:00+02:00", "analyte": "nitrite",
             "value": "5", "qualifier": ">", "unit": "mg/L", "expressed_as": "NO2"},
        ],
        "water_changes": [
            {"entry": OTHERS[0], "enclosure": "T1", "occurred_at": "2025-05-01", "volume_l": "16"},
            {"entry": OTHERS[6], "enclosure": "T1", "occurred_at": "2025-05-01", "volume_l": "15", "supersedes": OTHERS[0],
             "reason": "a litre was spilt"},
        ],
        "soundings": [
            {"entry": SOUNDED, "filter": "P1-F", "occurred_at": "2025-05-03", "depth_mm": "83"},
            {"entry": SOUNDED, "filter": "P1-F", "occurred_at": "2025-05-03", "depth_mm": "83"},
            {"entry": SOUNDED, "filter": "P1-F", "occurred_at": "2025-05-03", "depth_mm": "240", "qualifier": ">="},
            {"entry": SOUNDED_GONE, "filter": "P1-F", "occurred_at": "2025-05-03", "supersedes": SOUNDED,
             "withdrawn": "true", "reason": "another filter"},
        ],
        "flow_checks": [
            {"entry": OTHERS[1], "filter": "P1-F", "occurred_at": "2025-05-03", "flow_l_per_h": "1900", "odour": "1"}
        ],
        "cleanouts": [
            {"entry": CLEANED, "filter": "P1-F", "occurred_at": "2024-08-24", "outcome": "full", "depth_before_mm": "150",
             "depth_before_qualifier": ">=", "depth_after_mm": "12", "slurry_l": "128", "media_disturbed": "false"}
        ],
        "upkeep": [{"entry": OTHERS[2], "filter": "P1-F", "occurred_at": "2025-05-03", "kind": "weir", "minutes": "10"}],
        "health_notes": [
            {"entry": SICK, "animal": "TS-1", "occurred_at": "2025-07-30", "text": "Lesions on the shell", "severity": "2"}
        ],
        "treatments": [
            {"treatment": "TS-1-t1", "animal": "TS-1", "what": "Antiseptic paste", "dose": "a thin layer, dry for an hour",
             "amount": "0.5", "unit": "mL", "route": "on the plastron", "every_days": "1", "slots": "am pm",
             "from_on": "2025-07-30", "n_doses": "20", "why": "lesions", "handling": "Gloves.\nNo soaking.",
             "prescribed_by": "Dr Vale", "entered_at": "2025-07-30T10:00:00Z", "entered_by": "VET",
             "stopped_on": "2025-08-06", "stopped_by": "SUP", "stop_reason": "healed"},
            {"treatment": "TS-1-t2", "animal": "TS-1", "what": "Drops", "dose": "one drop", "route": "left eye",
             "every_hours": "8", "first_time": "06:00", "from_on": "2025-09-01", "to_on": "2025-09-03", "why": "swelling",
             "prescribed_by": "Dr Vale"},
        ],
        "doses": [
            {"entry": DOSED, "treatment": "TS-1-t1", "enclosure": "P1", "occurred_at": "2025-07-30T18:10+02:00",
             "for_on": "2025-07-30", "for_part": "pm", "outcome": "given", "amount": "5", "unit": "mL"},
            {"entry": DOSED_RIGHT, "treatment": "TS-1-t1", "enclosure": "P1", "occurred_at": "2025-07-30T18:10+02:00",
             "for_on": "2025-07-30", "for_part": "pm", "outcome": "given", "amount": "0.5", "unit": "mL",
             "supersedes": DOSED, "reason": "a point was missing"},
            {"entry": REFUSED, "treatment": "TS-1-t2", "enclosure": "T1", "occurred_at": "2025-09-01T06:05+02:00",
             "for_on": "2025-09-01", "for_part": "06:00", "outcome": "not_given", "why_not": "could not be caught"},
        ],
        "outages": [
            {"entry": OTHERS[3], "occurred_at": "2025-07-08T02:10+02:00", "kind": "power",
             "ended_at": "2025-07-08T09:20:00Z", "done": "first flush to waste"}
        ],
        "transfers": [
            {"entry": OTHERS[4], "animal": "TS-2", "occurred_at": "2025-09-01", "direction": "out", "kind": "loan_out",
             "due_back_on": "2026-04-12", "permit": "AR-1"}
        ],
        "deaths": [{"entry": OTHERS[5], "animal": "TS-3", "occurred_at": "2025-09-11", "necropsy": "false"}],
        "permits": [{"number": "AR-1", "from_on": "2021-01-01", "to_on": "2027-12-31"}],
        "record_flags": [
            {"table": "feeding", "entry": FED, "code": "DUP", "found_at": "2025-05-01T18:00:00Z",
             "resolved_at": "2025-05-02T08:00:00Z", "resolved_by": "SUP", "resolution": "moved"}
        ],
        "photos": [
            {"entry": PICTURED, "table": "roundcheck", "of_entry": LOOKED, "occurred_at": "2025-05-01T07:52+02:00",
             "sha256": "0a" * 32, "width_px": "1600", "height_px": "1200", "caption": "Foam, brown", "entered_by": "K1"},
            {"entry": PICTURED_RIGHT, "table": "roundcheck", "of_entry": LOOKED, "occurred_at": "2025-05-01T07:52+02:00",
             "sha256": "0a" * 32, "width_px": "1600", "height_px": "1200", "supersedes": PICTURED, "withdrawn": "true",
             "reason": "a person is on it"},
        ],
    }  # fmt: skip
