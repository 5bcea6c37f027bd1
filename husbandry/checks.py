"""System checks: say at start what would otherwise be found out in the rain."""

from __future__ import annotations

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
