"""Serves plotly's own script out of the installed package, so that no copy of it lives here and none comes from outside.

And joins the files that every page needs into one each, scripts without their comments: on a tablet at the edge of the network each request
may be the one that fails, and each kilobyte counts.
"""

from __future__ import annotations

import atexit
import shutil
import tempfile
from collections.abc import Iterable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.storage import FileSystemStorage
from rjsmin import jsmin

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


# What is joined -> its parts, in order. Scripts are wrapped, so that each keeps its names to itself.
JOINED = {
    "css/site.css": ("tokens", "base", "parts", "section", "unsent", "print"),
    "js/keep.js": ("outbox", "person", "send_outbox", "unsent", "same_meal", "entry", "drafts"),
    "js/round.js": ("todays_round",),
    "js/sounding.js": ("keypad", "log_sounding", "photos"),
}


class JoinedFinder(BaseFinder):
    """Finds the joined files, made anew whenever a part has changed."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="joined-"))
        atexit.register(shutil.rmtree, self.folder, ignore_errors=True)
        self.storage = FileSystemStorage(location=self.folder)

    def check(self, **kwargs: Any) -> list[Any]:
        return []

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        if path not in JOINED:
            return []
        found = str(self._made(path))
        return [found] if find_all else found

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, FileSystemStorage]]:
        for path in JOINED:
            self._made(path)
            yield path, self.storage

    def _made(self, path: str) -> Path:
        made = self.folder / path
        source = Path(settings.STATICFILES_DIRS[0]) / Path(path).parent
        parts = [source / f"{name}{made.suffix}" for name in JOINED[path]]
        newest = max(part.stat().st_mtime for part in parts)
        if not made.exists() or made.stat().st_mtime < newest:
            texts = [part.read_text(encoding="utf-8") for part in parts]
            made.parent.mkdir(parents=True, exist_ok=True)
            is_script = made.suffix == ".js"
            joined = "\n".join(f"{{\n{text}}}" if is_script else text for text in texts)
            made.write_text(jsmin(joined) if is_script else joined, encoding="utf-8")
        return made
