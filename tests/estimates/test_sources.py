from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from pathlib import Path

import pytest

import enclosures.estimates
import tests.worked_examples
from enclosures.estimates.feed import FOODS
from enclosures.estimates.media import MEDIA
from enclosures.estimates.sources import HOW_READ, SOURCES
from tests.worked_examples.example import Example

FOLDER = Path(enclosures.estimates.__file__).parent
EXAMPLE_FOLDER = Path(tests.worked_examples.__file__).parent
MODULES = [
    importlib.import_module(f"enclosures.estimates.{module.name}")
    for module in pkgutil.iter_modules(enclosures.estimates.__path__)
]


def _rows_of_the_readable_list() -> dict[str, tuple[str, ...]]:
    rows = {}
    for line in (FOLDER / "SOURCES.md").read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if line.startswith("|") and len(cells) == 4 and cells[0] not in {"key", "---"}:
            rows[cells[0]] = tuple(cells[1:])
    return rows


def test_the_readable_list_and_the_code_name_the_same_sources() -> None:
    in_code = {source.key: (source.citation, source.doi, source.how_read) for source in SOURCES.values()}
    assert _rows_of_the_readable_list() == in_code, "SOURCES.md and sources.py differ; change both"


@pytest.mark.parametrize("key", SOURCES)
def test_a_source_says_how_it_was_read_and_has_its_own_key(key: str) -> None:
    assert SOURCES[key].key == key
    assert SOURCES[key].how_read in HOW_READ
    assert len(SOURCES[key].citation) > 15


def test_every_source_is_cited_somewhere() -> None:
    files = [*FOLDER.glob("*.py"), *EXAMPLE_FOLDER.glob("*.py"), *Path(__file__).parent.glob("*.py")]
    text = "\n".join(file.read_text(encoding="utf-8") for file in files if file.name != "sources.py")
    cited = set(re.findall(r"[A-Z0-9]{2,}(?:_[A-Z0-9]+)?", text)) | set(re.findall(r"_([A-Z][A-Z0-9]+)", text))
    assert [key for key in SOURCES if key not in cited] == []


def test_a_function_named_after_a_source_names_one_we_list() -> None:
    for module in MODULES:
        for name, _ in inspect.getmembers(module, inspect.isfunction):
            suffix = re.search(r"_([A-Z][A-Z0-9]+)$", name)
            assert suffix is None or suffix[1] in SOURCES, f"{module.__name__}.{name}"


def test_foods_and_media_name_known_sources() -> None:
    for row in (*FOODS.values(), *MEDIA.values()):
        assert row.source in SOURCES, row.name
        assert row.how_known in HOW_READ, row.name


def test_worked_examples_name_known_sources_and_cover_at_least_ten_that_were_read() -> None:
    examples: list[Example] = []
    for module in pkgutil.iter_modules(tests.worked_examples.__path__):
        for value in vars(importlib.import_module(f"tests.worked_examples.{module.name}")).values():
            if isinstance(value, list):
                examples += [item for item in value if isinstance(item, Example)]
    assert {example.source for example in examples} <= set(SOURCES)
    assert {example.how_read for example in examples} <= set(HOW_READ)
    published = {example.source for example in examples if example.how_read.startswith("read")}
    assert len(published) >= 10, sorted(published)


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_public_functions_tell_what_they_give(module) -> None:
    own = [f for _, f in inspect.getmembers(module, inspect.isfunction) if f.__module__ == module.__name__]
    trivial = re.compile(r"^(check_|_)|_from_")
    assert [f.__name__ for f in own if not f.__doc__ and not trivial.search(f.__name__)] == []
    assert inspect.getdoc(module)
