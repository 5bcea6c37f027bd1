"""People who sign in. What they may do at the facility is a membership, kept with the subject (enclosures/models/facilities.py)."""

from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.db import models


class User(AbstractUser):
    """`initials` is how a person signs entries ("K1"): it outlives the account, so it is copied into each record."""

    initials = models.CharField(
        max_length=12,
        unique=True,
        help_text="Short, unique, on every entry this person makes; for example K1 or SUP.",
    )

    class Meta:
        verbose_name = "person"
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.initials or self.username

    def save(self, *args: object, **kwargs: object) -> None:
        if not self.initials:
            self.initials = self.username[:12]
        super().save(*args, **kwargs)  # type: ignore[arg-type]
