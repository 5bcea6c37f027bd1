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


class Device(models.Model):
    """A shared tablet. Only the hash of its token is kept: who reads the database cannot pose as it."""

    name = models.CharField(max_length=60, help_text="For example: tablet by the ponds.")
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    enrolled_by = models.CharField(max_length=12, editable=False)
    enrolled_at = models.DateTimeField(editable=False)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.CharField(max_length=12, blank=True)
    # What lies on it under names picked without a PIN, as it last told: author, label, at.
    unconfirmed = models.JSONField(default=list, blank=True, editable=False)

    class Meta:
        ordering = ("-enrolled_at",)
        verbose_name = "enrolled tablet"

    def __str__(self) -> str:
        return self.name


class Pin(models.Model):
    """For changing person on an enrolled tablet, and for nothing else. `wrong_tries` counts since the last right one."""

    user = models.OneToOneField(User, on_delete=models.CASCADE, related_name="pin")
    hash = models.CharField(max_length=256)
    wrong_tries = models.PositiveSmallIntegerField(default=0)
    locked_until = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = "PIN"

    def __str__(self) -> str:
        return f"PIN of {self.user}"
