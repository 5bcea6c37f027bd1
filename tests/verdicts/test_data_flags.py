from __future__ import annotations

import pytest

from enclosures.verdicts.data_flags import FLAGS, counted, meaning

PACKAGE_CODES = {
    "LATE", "MEM", "UNIT", "KIT", "LIM", "DUP", "CLK", "EST", "GAP", "PAR", "SEX", "ID", "GEO", "CMP", "IMP", "OUT",
    "NEG", "STK",
}  # fmt: skip


def test_every_code_of_the_package_has_its_sentence():
    assert set(FLAGS) >= PACKAGE_CODES


@pytest.mark.parametrize("flag", FLAGS.values(), ids=lambda flag: flag.code)
def test_flags_fit_their_column_and_speak_in_sentences(flag):
    assert len(flag.code) <= 4
    for n in (1, 2):
        said = flag.sentence(n)
        assert said.endswith(".")
        assert flag.code not in said


def test_counts_stand_most_first_with_what_they_touch():
    rows = counted(["DUP", "LATE", "LATE", "LATE", "EST"])
    assert [(row.code, row.n) for row in rows] == [("LATE", 3), ("DUP", 1), ("EST", 1)]
    assert rows[1].words == "meal may be there twice"
    assert "filter_summary" in rows[1].touches


def test_a_mark_from_elsewhere_is_named_and_not_hidden():
    assert "not a mark we know" in meaning("ZZ9").sentence(1)
