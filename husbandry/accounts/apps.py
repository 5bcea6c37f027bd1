from __future__ import annotations

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    name = "husbandry.accounts"
    label = "accounts"
    verbose_name = "People"
