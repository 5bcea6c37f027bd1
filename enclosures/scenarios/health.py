"""Health notes and what went wrong with the station: power cut, heat wave, a day without wifi. The tool does not diagnose."""

from __future__ import annotations

from datetime import date, datetime

from enclosures.scenarios.rows import Row, Tables, clock, event, stamp

# animal, enclosure, when, by, system, severity, veterinarian, text
_NOTES: tuple[tuple[str, str, datetime, str, str, int, bool, str], ...] = (
    ("", "Q1", clock(date(2023, 9, 30), "11:10"), "SUP", "gut", 1, False,
     "First pooled faecal sample of the batch: nothing seen."),
    ("BL-123", "", clock(date(2023, 10, 21), "11:40"), "SUP", "feeding", 2, False,
     "Has not eaten for two weeks and is losing weight. Veterinarian called."),
    ("BL-123", "", clock(date(2023, 10, 27), "14:00"), "VET", "yolk", 3, True,
     "Examined after death: retained yolk, gut empty. Tissue kept."),
    ("", "Q1", clock(date(2023, 10, 28), "11:10"), "SUP", "gut", 1, False, "Second faecal sample: nothing seen."),
    ("", "Q1", clock(date(2023, 12, 2), "11:10"), "SUP", "gut", 1, False, "Third faecal sample: nothing seen."),
    ("", "Q1", clock(date(2023, 12, 19), "15:30"), "VET", "general", 1, True,
     "Batch of musk turtles cleared to leave quarantine."),
    ("BL-124", "", clock(date(2023, 12, 23), "10:40"), "SUP", "feeding", 1, False,
     "Slow feeder: comes last and leaves half."),
    ("BL-124", "", clock(date(2024, 1, 20), "10:40"), "SUP", "feeding", 1, False,
     "Fed apart for half an hour; takes more that way."),
    ("BL-124", "", clock(date(2024, 2, 17), "10:40"), "SUP", "feeding", 1, False,
     "Still the smallest of the batch, active, shell hard."),
    ("BL-124", "", clock(date(2024, 3, 23), "10:40"), "SUP", "feeding", 1, False, "Eating with the others again."),
    ("BL-110", "", clock(date(2024, 4, 19), "14:20"), "VET", "beak", 1, True, "Overgrown beak trimmed."),
    ("BL-114", "", clock(date(2024, 7, 18), "07:55"), "K1", "general", 2, False,
     "Not found at the morning count; fence and pond searched."),
    ("BL-114", "", clock(date(2024, 7, 21), "10:25"), "SUP", "general", 1, False,
     "Found alive in the intake bay: the guard was bent. Guard mended, animal unhurt."),
    ("BL-129", "", clock(date(2024, 9, 29), "09:20"), "K3", "gut", 3, False,
     "Prolapse. Kept moist in a box; veterinarian called."),
    ("BL-129", "", clock(date(2024, 9, 30), "15:25"), "VET", "gut", 3, True,
     "Prolapse not to be put back; put to sleep."),
    ("", "Q1", clock(date(2024, 10, 5), "11:10"), "SUP", "gut", 1, False,
     "First faecal sample of the second batch: nothing seen."),
    ("", "Q1", clock(date(2024, 11, 9), "11:10"), "SUP", "gut", 1, False, "Second faecal sample: nothing seen."),
    ("", "Q1", clock(date(2024, 12, 7), "11:10"), "SUP", "gut", 1, False, "Third faecal sample: nothing seen."),
    ("", "Q1", clock(date(2024, 12, 20), "15:30"), "VET", "general", 1, True,
     "Second batch cleared to leave quarantine."),
    ("BL-115", "", clock(date(2025, 7, 30), "11:30"), "VET", "shell", 2, True,
     "Shell lesions on the plastron; swab taken, dry-docking two hours a day."),
    ("BL-115", "", clock(date(2025, 8, 6), "16:10"), "VET", "shell", 2, True,
     "Swab: mixed bacteria. Treatment goes on; better water advised."),
    ("BL-115", "", clock(date(2025, 9, 15), "11:15"), "VET", "shell", 1, True, "Lesions healed."),
    ("", "Q1", clock(date(2025, 9, 20), "11:10"), "SUP", "gut", 1, False,
     "First faecal sample of the pond turtle on loan: nothing seen."),
    ("", "Q1", clock(date(2025, 10, 25), "11:10"), "SUP", "gut", 1, False, "Second faecal sample: nothing seen."),
    ("", "Q1", clock(date(2025, 11, 29), "11:10"), "SUP", "gut", 1, False,
     "Third faecal sample: nothing seen. Stays over winter; out to the pond in spring."),
)  # fmt: skip

# kind, from, to, enclosures (empty: all), what was done, note
_OUTAGES = (
    ("wifi", clock(date(2024, 4, 12), "07:20"), clock(date(2024, 4, 15), "12:00"), "",
     "Rounds went on; one tablet kept its entries and sent them on Monday.", ""),
    ("heat", clock(date(2024, 7, 27), "11:00"), clock(date(2024, 8, 4), "20:00"), "P1 P2 P3 P4",
     "Shade nets, top-up in the evening, air stone in P1 and P2.", "About 4.5 °C above the season."),
    ("power", clock(date(2025, 7, 8), "02:10"), clock(date(2025, 7, 8), "11:20"), "",
     "First flush to waste at the ponds and B2. Nobody fed.", "Incubator down to 22.5 °C."),
)  # fmt: skip


def health_tables() -> Tables:
    return {"health_notes": [_note(*note) for note in _NOTES], "outages": [_outage(*outage) for outage in _OUTAGES]}


def _note(
    animal: str, enclosure: str, at: datetime, by: str, system: str, severity: int, vet_seen: bool, text: str
) -> Row:
    return event(
        "health", animal or enclosure, at.date(), at=at, by=by, how="form", animal=animal, enclosure=enclosure,
        system=system, severity=severity, text=text, vet_seen=vet_seen, restricted=False,
    )  # fmt: skip


def _outage(kind: str, began: datetime, ended: datetime, enclosures: str, done: str, note: str) -> Row:
    return event(
        "outage", kind, began.date(), at=began, by="SUP", how="form", entered=ended, kind=kind, ended_at=stamp(ended),
        enclosures=enclosures, done=done, note=note,
    )  # fmt: skip
