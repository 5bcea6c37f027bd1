from __future__ import annotations

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


def install_guards_after_migrate(sender: AppConfig, using: str, **kwargs: Any) -> None:
    from enclosures.models.guards import install_guards

    install_guards(using=using)


class EnclosuresConfig(AppConfig):
    name = "enclosures"
    verbose_name = "Enclosures and filters"

    def ready(self) -> None:
        # After every migrate, so that a rebuilt table (SQLite copies tables to alter them) never loses its guard.
        post_migrate.connect(install_guards_after_migrate, sender=self)
