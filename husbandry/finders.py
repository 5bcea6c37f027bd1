"""Serves plotly's own script out of the installed package, so that no copy of it lives here and none comes from outside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.storage import FileSystemStorage

SCRIPT = "plotly.min.js"


class PlotlyFinder(BaseFinder):
    """Finds `plotly/plotly.min.js` and nothing else of the package: its other files are large and not needed."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        spec = find_spec("plotly")
        if spec is None or not spec.submodule_search_locations:
            raise ImportError("The package plotly is not installed; see requirements.txt.")
        self.storage = FileSystemStorage(location=Path(spec.submodule_search_locations[0]) / "package_data")
        self.storage.prefix = "plotly"  # type: ignore[attr-defined]

    def check(self, **kwargs: Any) -> list[Any]:
        return []

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        if path != f"plotly/{SCRIPT}":
            return []
        found = self.storage.path(SCRIPT)
        return [found] if find_all else found

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, FileSystemStorage]]:
        yield SCRIPT, self.storage
