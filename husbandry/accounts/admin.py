from __future__ import annotations

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin

from husbandry.accounts.models import User


@admin.register(User)
class PersonAdmin(UserAdmin):
    list_display = ("username", "initials", "first_name", "last_name", "is_active")
    fieldsets = (*UserAdmin.fieldsets, ("On entries", {"fields": ("initials",)}))
    add_fieldsets = (*UserAdmin.add_fieldsets, ("On entries", {"fields": ("initials",)}))
