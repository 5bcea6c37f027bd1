from __future__ import annotations

from django.apps import AppConfig


class SiteConfig(AppConfig):
    """The site itself: only so that its system checks are found."""

    name = "husbandry"
    label = "site"

    def ready(self) -> None:
        from husbandry import checks  # noqa: F401
