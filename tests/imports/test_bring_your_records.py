"""README says which six files and which columns make a forecast; its word is kept."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.management import call_command

from enclosures.exports.record_tables import BY_NAME
from enclosures.imports.importing import import_records
from tests.conftest import TODAY
from tests.imports.passing import NOW

ROWS = re.compile(r"^\| `(\w+)\.csv` \| (.+) \|$", re.MULTILINE)
README = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
VALUES = {
    "enclosure": "P1", "filter": "P1-F", "indoor": "false", "water_volume_l": "7800", "valid_from": "2025-03-01",
    "chamber_area_m2": "0.6", "void_height_mm": "240", "food_item": "pellet", "food_class": "pellet",
    "moisture_percent": "8", "protein_percent": "40", "offered_g": "45", "depth_mm": "70",
}  # fmt: skip
KINDS = {"enclosures": "pond", "filters": "upflow"}


def promised() -> dict[str, list[str]]:
    """Columns by file, as README has them: the words in backquotes."""
    return {name: re.findall(r"`(\w+)`", columns) for name, columns in ROWS.findall(README)}


def test_the_columns_in_readme_are_those_a_table_must_have() -> None:
    assert set(promised()) == {"enclosures", "filters", "filter_builds", "food_items", "feedings", "soundings"}
    for name, columns in promised().items():
        assert columns == [column.name for column in BY_NAME[name].columns if column.name in columns], name
        missing = {c.name for c in BY_NAME[name].columns if c.is_required} - set(columns)
        assert not missing, f"{name}: {missing}"


@pytest.mark.django_db
def test_six_files_with_those_columns_alone_make_a_forecast(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    days = [TODAY - timedelta(days=n) for n in range(120, 0, -1)]
    for name, columns in promised().items():
        rows = []
        for day in days if name == "feedings" else days[60:61]:
            values = {**VALUES, "kind": KINDS.get(name, ""), "occurred_at": day.isoformat()}
            rows.append(",".join(values[column] for column in columns))
        (tmp_path / f"{name}.csv").write_text("\n".join([",".join(columns), *rows]) + "\n", encoding="utf-8")
    report = import_records(tmp_path, now=NOW)
    assert report.is_saved, report.lines()
    call_command("forecast_voids", as_of=TODAY.isoformat())
    said = capsys.readouterr().out
    assert "P1-F" in said
    assert "The rod showed 29" in said
