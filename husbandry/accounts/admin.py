from __future__ import annotations

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin

from husbandry.accounts.models import Device, User


@admin.register(User)
class PersonAdmin(UserAdmin):
    list_display = ("username", "initials", "first_name", "last_name", "is_active")
    fieldsets = (*UserAdmin.fieldsets, ("On entries", {"fields": ("initials",)}))
    add_fieldsets = (*UserAdmin.add_fieldsets, ("On entries", {"fields": ("initials",)}))


@admin.register(Device)
class DeviceAdmin(admin.ModelAdmin):  # type: ignore[type-arg]
    list_display = ("name", "enrolled_by", "enrolled_at", "revoked_at")
    readonly_fields = ("enrolled_by", "enrolled_at", "revoked_by")

    def has_add_permission(self, request: object) -> bool:
        """A tablet is enrolled on the tablet."""
        return False
