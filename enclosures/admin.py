"""The admin keeps what has no page of its own yet. Logged entries can be added here, and read; never changed or erased."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.http import HttpRequest
from django.utils import timezone

from enclosures import models
from enclosures.models.record import LoggedRecord

admin.site.site_header = "Husbandry logbook: records"
admin.site.site_title = "Husbandry logbook"
admin.site.index_title = "Records without a page of their own"


class EntryAdmin(admin.ModelAdmin):
    """A log table: what is there stands; a new row can be added and is stamped with its author and the server's clock."""

    exclude = (
        "occurred_on", "utc_offset_min", "entered_at", "entered_by", "sent_by", "device_at", "clock_offset_s", "how",
        "flags", "supersedes", "withdrawn", "reason",
    )  # fmt: skip
    date_hierarchy = "occurred_on"
    list_filter = ("withdrawn",)

    def get_queryset(self, request: HttpRequest) -> Any:
        return self.model.all_rows.all()

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def save_model(self, request: HttpRequest, obj: Any, form: Any, change: Any) -> None:
        now = timezone.now()
        facility = models.Facility.objects.get()
        precision = obj.precision
        obj.moment = models.Moment.of_instant(obj.occurred_at, zone=facility.zone)
        if precision == models.Precision.DAY:
            obj.moment = models.Moment.of_day(obj.occurred_on, zone=facility.zone)
        obj.entered_at = now
        obj.entered_by = getattr(request.user, "initials", "") or request.user.get_username()
        obj.save()


class KeptAdmin(admin.ModelAdmin):
    """Reference records: dated rows are added, and wrong ones put right; none is erased."""

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


def _columns(model: type[Any]) -> tuple[str, ...]:
    hidden = {
        "id",
        "entry",
        "supersedes",
        "flags",
        "utc_offset_min",
        "device_at",
        "clock_offset_s",
        "sent_by",
        "reason",
    }
    fields = [field.name for field in model._meta.fields if field.name not in hidden]
    return tuple(fields[:8])


THIN_ENTRIES = (
    models.Measurement, models.WaterChange, models.FlowCheck, models.Cleanout, models.Upkeep, models.Outage,
    models.HealthNote, models.Transfer, models.Death, models.Instruction, models.RoundCheck, models.RoundSkip,
    models.PlannedSeason,
)  # fmt: skip
# Written with parts, so only through their own forms; here they are read.
READ_ONLY = (models.Feeding, models.WaterTest, models.Sounding, models.PlannedMove, models.Dose, models.Photo)
REFERENCE = (
    models.Facility, models.Enclosure, models.Season, models.Filter, models.FilterBuild,
    models.MediaLayer, models.Pump, models.PumpFitting, models.Taxon, models.Animal, models.Mark, models.Stay,
    models.FoodItem, models.FoodComposition, models.FoodUnit, models.FeedingPlan, models.TestKit, models.Clutch, models.Egg,
    models.Permit,
)  # fmt: skip


class ReadOnlyEntryAdmin(EntryAdmin):
    def has_add_permission(self, request: HttpRequest) -> bool:
        return False


class LogOnlyAdmin(admin.ModelAdmin):
    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(models.Membership)
class MembershipAdmin(KeptAdmin):
    list_display = ("user", "role", "program", "active_from", "active_to")

    def get_form(self, request: HttpRequest, obj: Any = None, **kwargs: Any) -> Any:
        told = {
            "program": "For an outside coordinator, who sees the animals of this program and nothing else; "
            "written as it is on the animals.",
            "active_to": "The last day; empty: until further notice. A role that has ended is kept.",
        }
        return super().get_form(request, obj, help_texts=told, **kwargs)


for model in THIN_ENTRIES:
    admin.site.register(model, type(f"{model.__name__}Admin", (EntryAdmin,), {"list_display": _columns(model)}))
for model in READ_ONLY:
    admin.site.register(model, type(f"{model.__name__}Admin", (ReadOnlyEntryAdmin,), {"list_display": _columns(model)}))
for model in REFERENCE:
    admin.site.register(model, type(f"{model.__name__}Admin", (KeptAdmin,), {"list_display": _columns(model)}))
for model in (models.Treatment, models.RecordFlag, models.SavedPackage, models.FilterOutlook):
    admin.site.register(model, type(f"{model.__name__}Admin", (LogOnlyAdmin,), {"list_display": _columns(model)}))

assert all(issubclass(model, LoggedRecord) for model in (*THIN_ENTRIES, *READ_ONLY))
