"""What every log form shares: when, note, the device's id and clock, questions asked once, and corrections' reason.

A question is a refusal with one-tap ways out. Answers come back as `answer` values: "field|keep|typed" says the figure is
right as typed, "field|use|text" puts another text into the field. A kept answer holds only while the field says the same.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.datastructures import MultiValueDict

from enclosures.estimates.units import with_unit
from enclosures.forms.fields import NeedsChoice, OccurredAtField
from enclosures.forms.typed import Choice, Quantity
from enclosures.verdicts.sanity import checked

KEEP, USE = "keep", "use"


@dataclass(frozen=True, slots=True)
class Answer:
    """One button: its words, and the value it sends."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Question:
    name: str
    text: str
    answers: tuple[Answer, ...]


class LogBoundField(forms.BoundField):
    """A field as a template sees it: with its question, if one is open."""

    @property
    def question(self) -> Question | None:
        return self.form.questions.get(self.name)  # type: ignore[attr-defined]

    @property
    def problem(self) -> str:
        return " ".join(str(error) for error in self.errors)


@dataclass(frozen=True, kw_only=True, slots=True)
class Clock:
    """`now` by the server; `zone` and `today` the facility's; `tap` when the entry was made, if the device said so."""

    now: datetime
    zone: ZoneInfo
    today: date
    tap: datetime | None = None


class LogForm(forms.Form):
    bound_field_class = LogBoundField
    template_name = None

    when = OccurredAtField()
    recall = forms.ChoiceField(
        label="How do you know?",
        choices=[("form", "Seen it"), ("late", "From memory"), ("paper", "From paper")],
        required=False,
        initial="form",
        widget=forms.RadioSelect,
    )
    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "off"})
    )
    entry = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, clock: Clock, must_say_why: bool = False, **kwargs: Any) -> None:
        self.clock = clock
        self.questions: dict[str, Question] = {}
        self.flags: list[tuple[str, str]] = []  # field, code
        self.must_say_why = must_say_why
        self._kept: set[tuple[str, str]] = set()
        self._used: dict[str, str] = {}
        super().__init__(self._with_answers(data), **kwargs)
        self.fields["when"].set_clock(now=clock.tap or clock.now, zone=clock.zone, today=clock.today)
        if must_say_why:
            self.fields["reason"] = forms.CharField(
                label="Why is it put right?",
                max_length=400,
                error_messages={"required": "Say why, in a few words."},
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )

    # Answers -----------------------------------------------------------------------------------------------------------

    def _with_answers(self, data: Any) -> Any:
        """The data with "use" answers put into their fields; "keep" answers are remembered."""
        if data is None:
            return None
        data = data.copy() if isinstance(data, MultiValueDict) else MultiValueDict({k: [v] for k, v in data.items()})
        for answer in data.getlist("answer"):
            name, _, rest = str(answer).partition("|")
            how, _, text = rest.partition("|")
            if how == KEEP:
                self._kept.add((name, text))
            elif how == USE:
                was = str(data.get(name, ""))
                if was != text:
                    self._used[name] = was
                    data[name] = text
        for said in data.getlist("was"):
            name, _, rest = str(said).partition("|")
            was, _, now = rest.partition("|")
            if data.get(name) == now:
                self._used.setdefault(name, was)
        return data

    def hidden_answers(self) -> list[tuple[str, str]]:
        """Hidden inputs that carry answers already given into the next round of questions."""
        kept = [("answer", f"{name}|{KEEP}|{text}") for name, text in sorted(self._kept)]
        return kept + [("was", f"{name}|{was}|{self._said(name)}") for name, was in sorted(self._used.items())]

    def _said(self, name: str) -> str:
        return str(self.data.get(self.add_prefix(name), "")).strip()

    # Questions ---------------------------------------------------------------------------------------------------------

    def is_kept(self, name: str, *, about: str | None = None) -> bool:
        return (name, self._said(name) if about is None else about) in self._kept

    def ask(
        self,
        name: str,
        text: str,
        *,
        use: tuple[Choice, ...] = (),
        keep: str = "",
        about: str | None = None,
        flag: str = "OUT",
    ) -> None:
        """Ask once about a field. `keep` is the label of "it is right as typed" (empty: it cannot be kept)."""
        said = self._said(name) if about is None else about
        if keep and (name, said) in self._kept:
            if flag:
                self.flags.append((name, flag))
            return
        answers = [Answer(choice.label, f"{name}|{USE}|{choice.text}") for choice in use]
        if keep:
            answers.append(Answer(keep, f"{name}|{KEEP}|{said}"))
        self.questions[name] = Question(name, text, tuple(answers))
        self.add_error(name if name in self.fields else None, forms.ValidationError(text, code="question"))

    def look_at(
        self,
        name: str,
        key: str,
        *,
        value: float | None = None,
        last: float | None = None,
        limit: float | None = None,
        allowed_change: float | None = None,
        can_convert: bool = True,
    ) -> None:
        """Hold a figure against the ranges of verdicts/quantities.py: refused past what can be, asked about past what is usual.

        `value` when the figure judged is not the one typed (another basis, a bucket's flow): then `can_convert` is False, since
        a converted value would not be what the field means.
        """
        judged = self.number(name) if value is None else value
        if judged is None or name in self.errors:
            return
        finding = checked(key, judged, last=last, limit=limit, allowed_change=allowed_change)
        if finding.kind == "refuse":
            self.add_error(name, finding.sentence)
        elif finding.kind == "ask":
            use: tuple[Choice, ...] = ()
            if finding.suggestion_value is not None and can_convert:
                words = finding.suggestion_label.removeprefix("Yes, ")
                use = (Choice(f"Use {words}", f"{finding.suggestion_value:.10g}"),)
            elif finding.must_convert:
                self.add_error(name, finding.sentence)
                return
            keep = "" if finding.must_convert else f"{'No' if use else 'Yes'}, {self._said(name)} is right"
            self.ask(name, finding.sentence, use=use, keep=keep, flag=finding.flag or "OUT")

    def add_error(self, field: str | None, error: Any) -> None:
        if isinstance(error, NeedsChoice) and error.choices and field:
            answers = tuple(Answer(choice.label, f"{field}|{USE}|{choice.text}") for choice in error.choices)
            self.questions[field] = Question(field, str(error.message), answers)
        super().add_error(field, error)

    def refuse(self, errors: dict[str, str], *, renamed: dict[str, str] | None = None) -> None:
        """What an action refused, beside the fields it names."""
        for name, text in errors.items():
            known = (renamed or {}).get(name, name)
            self.add_error(known if known in self.fields else None, text)

    # Values ------------------------------------------------------------------------------------------------------------

    def number(self, name: str) -> float | None:
        quantity = self.cleaned_data.get(name)
        return quantity.value if isinstance(quantity, Quantity) else None

    def full_note(self, *, about: Collection[str] | None = None) -> str:
        """The person's note, and what was typed in another unit or meant otherwise (of the fields `about`, or of all)."""
        told = self.cleaned_data.get("note", "").replace("\r\n", "\n").strip()  # as browsers send what an area holds
        parts = [told, *self._remarks(about)]
        return "\n".join(part for part in parts if part)

    def entry_flags(self, *, about: Collection[str] | None = None) -> tuple[str, ...]:
        """OUT for what was confirmed past the usual, UNIT for what was converted."""
        names = set(self.fields) if about is None else set(about)
        flags = [code for name, code in self.flags if about is None or name in names]
        values = [self.cleaned_data.get(name) for name in names]
        if any(isinstance(value, Quantity) and value.typed for value in values) or names & set(self._used):
            flags.append("UNIT")
        return tuple(dict.fromkeys(flags))

    def _remarks(self, about: Collection[str] | None = None) -> list[str]:
        remarks = []
        for name, field in self.fields.items():
            if about is not None and name not in about:
                continue
            value, label = self.cleaned_data.get(name), field.label or name
            if self._used.get(name):
                own = getattr(getattr(field, "unit_set", None), "own", "")
                is_bare = self._said(name).replace(".", "", 1).isdigit()
                meant = with_unit(self._said(name), own) if is_bare else self._said(name)
                remarks.append(f"{label}: typed {self._used[name]}, meant {meant}.")
            elif isinstance(value, Quantity) and value.typed:
                remarks.append(f"{label}: typed {value.typed}.")
        return remarks
