"""Form fields for what people write on a round: quantities in any unit, readings beyond the kit, and when it happened."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from django import forms

from enclosures.forms.typed import PLAIN, CannotRead, Quantity, UnitSet, read_quantity
from enclosures.models import Moment

READING_SIGNS = {">": ">", ">=": ">", "<": "<", "<=": "<"}
DEPTH_SIGNS = {">": ">=", ">=": ">=", "<": "<=", "<=": "<="}


class NeedsChoice(forms.ValidationError):
    """A refusal that offers ways out; each choice is a text for the field."""

    def __init__(self, problem: CannotRead) -> None:
        self.choices = problem.choices
        super().__init__(str(problem), code="choice")


class QuantityField(forms.CharField):
    """A number, comma or point, in `unit_set.own` or in any unit written behind it. Cleans to a Quantity, or None when empty.

    Hard limits are the form's business, since a value beyond one may be a slip worth asking about. `is_keyed`: filled from the
    page's own keypad.
    """

    def __init__(
        self,
        unit_set: UnitSet = PLAIN,
        *,
        signs: dict[str, str] | None = None,
        may_be_negative: bool = False,
        is_keyed: bool = False,
        **kwargs: Any,
    ) -> None:
        self.unit_set = unit_set
        self.signs = signs
        # A keypad of digits may have no minus sign, so fields that can go below zero keep the whole keyboard.
        mode = "text" if may_be_negative or signs else "decimal"
        kwargs.setdefault("required", False)
        kwargs.setdefault("max_length", 40)
        attrs = {"inputmode": mode, "autocomplete": "off", "spellcheck": "false", "enterkeyhint": "next"}
        if is_keyed:
            attrs["data-keyed"] = ""
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Quantity | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return read_quantity(text, self.unit_set, signs=self.signs)
        except CannotRead as problem:
            raise NeedsChoice(problem) from problem


class QualifiedReadingField(QuantityField):
    """A reading a kit may not reach: "> 8", "< 0.05"."""

    def __init__(self, unit_set: UnitSet = PLAIN, **kwargs: Any) -> None:
        super().__init__(unit_set, signs=READING_SIGNS, **kwargs)


class DepthField(QuantityField):
    """A rod's reading: "131", "≥ 150" (rod at the grid), "≤ 20" (below the mark)."""

    def __init__(self, unit_set: UnitSet, **kwargs: Any) -> None:
        super().__init__(unit_set, signs=DEPTH_SIGNS, **kwargs)


class WholeNumberField(forms.IntegerField):
    def __init__(self, *, what: str, high: int, low: int = 0, **kwargs: Any) -> None:
        said = f"{what}: a whole number from {low} to {high}."
        attrs = {"inputmode": "numeric", "autocomplete": "off", "spellcheck": "false"}
        super().__init__(
            min_value=low,
            max_value=high,
            required=False,
            widget=forms.TextInput(attrs=attrs),
            error_messages={"invalid": said, "min_value": said, "max_value": said},
            **kwargs,
        )


class WhenWidget(forms.MultiWidget):
    """Now, or earlier with a day and perhaps a time."""

    template_name = "staff/_when_widget.html"

    def __init__(self) -> None:
        super().__init__(
            {
                "": forms.RadioSelect(choices=OccurredAtField.CHOICES),
                "on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
                "at": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
            }
        )

    def decompress(self, value: Any) -> list[Any]:
        if not isinstance(value, Moment):
            return ["now", "", ""]
        clock = None if value.precision == "day" else value.at + timedelta(minutes=value.offset_min)
        return ["earlier", value.on.isoformat(), clock.strftime("%H:%M") if clock else ""]


class OccurredAtField(forms.MultiValueField):
    """Cleans to a Moment. "Now" is the instant given by `set_clock`; a day alone is enough; the future is refused."""

    CHOICES: ClassVar = (("now", "Now"), ("earlier", "Earlier"))
    widget = WhenWidget

    def __init__(self, **kwargs: Any) -> None:
        self._now: datetime | None = None
        self._zone = ZoneInfo("UTC")
        fields = (forms.CharField(required=False), forms.CharField(required=False), forms.CharField(required=False))
        super().__init__(fields, require_all_fields=False, required=False, label="When", **kwargs)

    def set_clock(self, *, now: datetime, zone: ZoneInfo, today: date) -> None:
        """`now` may be the tablet's tap, a while ago; `today` is the facility's day on the server."""
        self._now, self._zone, self._today = now, zone, today

    def clean(self, value: Any) -> Moment:
        assert self._now is not None, "set_clock comes first"
        choice, day_text, time_text = (str(part or "").strip() for part in (list(value or []) + ["", "", ""])[:3])
        if choice != "earlier":
            local = self._now.astimezone(self._zone).replace(second=0, microsecond=0)
            return Moment.of_instant(local, zone=self._zone)
        return self._earlier(self._day(day_text), time_text)

    def _day(self, text: str) -> date:
        try:
            day = date.fromisoformat(text) if text else self._today
        except ValueError:
            raise forms.ValidationError(f"“{text}” is not a date; write it as {self._today.isoformat()}.") from None
        if day > self._today:
            raise forms.ValidationError("That day has not come yet. Check the date.")
        if day.year < 1950:
            raise forms.ValidationError("That is too long ago. Check the year.")
        return day

    def _earlier(self, day: date, time_text: str) -> Moment:
        if not time_text:
            return Moment.of_day(day, zone=self._zone)
        try:
            clock = time.fromisoformat(time_text)
        except ValueError:
            raise forms.ValidationError(f"“{time_text}” is not a time; write it as 07:45.") from None
        moment = Moment.of_local(datetime.combine(day, clock), zone=self._zone)
        assert self._now is not None
        if moment.at > self._now + timedelta(minutes=1):
            raise forms.ValidationError("That time has not come yet. Check the day and the time.")
        return moment
