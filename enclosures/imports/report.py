"""What an import did, or why it did nothing, in sentences for whoever made the files."""

from __future__ import annotations

from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import PurePosixPath

from enclosures.exports.record_tables import BY_NAME

SHOWN = 200


@dataclass(frozen=True)
class Problem:
    """One thing that cannot be recorded: where it stands and why."""

    file: str
    line: int | None
    column: str
    reason: str

    def __str__(self) -> str:
        where = self.file
        if self.line is not None:
            where += f" line {self.line}"
        if self.column:
            where += f", {self.column}"
        return f"{where}: {self.reason}" if where else self.reason


@dataclass
class Count:
    new: int = 0
    already: int = 0


@dataclass
class Report:
    """`is_saved` False with no problem: it was only tried. The first 200 problems are kept, all are counted."""

    is_dry_run: bool = False
    is_saved: bool = False
    counts: dict[str, Count] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    n_problems: int = 0
    new_taxa: list[str] = field(default_factory=list)
    unknown_columns: dict[str, list[str]] = field(default_factory=dict)
    unknown_tables: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    is_facility_made_up: bool = False

    @property
    def is_good(self) -> bool:
        return self.n_problems == 0

    @property
    def n_new(self) -> int:
        return sum(count.new for count in self.counts.values())

    def refuse(self, reason: str, *, file: str = "", line: int | None = None, column: str = "") -> None:
        self.n_problems += 1
        if len(self.problems) < SHOWN:
            self.problems.append(Problem(file, line, column, reason))

    def count(self, table: str) -> Count:
        return self.counts.setdefault(table, Count())

    def noticed(self, file: str, column: str) -> None:
        """A column nobody understands: named, not used."""
        columns = self.unknown_columns.setdefault(file, [])
        if column not in columns:
            columns.append(column)

    def lines(self) -> list[str]:
        """The whole report as lines of text."""
        told = [self._outcome()]
        told += [f"  {problem}" for problem in self._by_file_and_line()]
        if self.n_problems > len(self.problems):
            told.append(f"  … and {self.n_problems - len(self.problems)} more.")
        if self.is_good:
            for table, count in self.counts.items():
                if not count.new and not count.already:
                    continue
                already = f", {count.already} already there" if count.already else ""
                told.append(f"  {table}: {count.new} new{already}")
        if self.new_taxa:
            told.append(f"Taxa made from their names: {', '.join(self.new_taxa)}.")
        for file, columns in self.unknown_columns.items():
            told.append(f"{file}: not understood and left out: {', '.join(f'“{name}”' for name in columns)}.")
        if self.unknown_tables:
            told.append(f"No record table, left out: {', '.join(map(_with_likely_name, self.unknown_tables))}.")
        if self.is_facility_made_up and self.is_good:
            made = "one would be made" if self.is_dry_run else "one was made"
            told.append(f"No facility was given; {made} (code F, time zone UTC). Name it in Settings.")
        return [*told, *self.remarks]

    def _by_file_and_line(self) -> list[Problem]:
        """As whoever mends the files goes through them: file by file, from the top."""
        files = list(dict.fromkeys(problem.file for problem in self.problems))
        return sorted(self.problems, key=lambda problem: (files.index(problem.file), problem.line or 0))

    def _outcome(self) -> str:
        if not self.is_good:
            things = "1 thing is" if self.n_problems == 1 else f"{self.n_problems} things are"
            return f"Nothing was saved: {things} wrong."
        if self.is_dry_run:
            return "Tried only, nothing was saved: all of it can be imported."
        return f"Imported: {self.n_new} new." if self.n_new else "Nothing new: all of it was already there."


def _with_likely_name(file: str) -> str:
    """'feeding.csv (is it feedings.csv?)', where a table has nearly that name."""
    path = PurePosixPath(file)
    near = get_close_matches(path.stem.lower(), BY_NAME, n=1, cutoff=0.8) if path.suffix.lower() == ".csv" else []
    return f"{file} (is it {near[0]}.csv?)" if near else file
