"""System checks: say at start what would otherwise be found out in the rain."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.checks import Error, Warning, register


@register()
def database_folder_can_be_written(app_configs: Any, **kwargs: Any) -> list[Any]:
    database = settings.DATABASES["default"]
    if not database["ENGINE"].endswith("sqlite3") or "memory" in str(database["NAME"]):
        return []
    folder = Path(database["NAME"]).parent
    if folder.is_dir():
        return []
    return [
        Error(
            f"The folder of the database does not exist: {folder}",
            hint="Make the folder, or set DATABASE_URL=sqlite:///path/to/file.sqlite3.",
            id="husbandry.E001",
        )
    ]


@register()
def photos_can_be_kept(app_configs: Any, **kwargs: Any) -> list[Any]:
    folder = Path(settings.MEDIA_ROOT)
    while not folder.exists():
        folder = folder.parent
    if folder.is_dir() and os.access(folder, os.W_OK):
        return []
    return [
        Warning(
            f"Photos cannot be kept: {settings.MEDIA_ROOT} cannot be written.",
            hint="Give the site's user the folder, or set MEDIA_ROOT to another.",
            id="husbandry.W002",
        )
    ]


@register(deploy=True)
def hosts_are_named(app_configs: Any, **kwargs: Any) -> list[Any]:
    if "*" in settings.ALLOWED_HOSTS:
        return [
            Warning(
                "ALLOWED_HOSTS lets any host name in.",
                hint="Name the addresses the tablets use, separated by commas.",
                id="husbandry.W001",
            )
        ]
    return []
