"""Where URLs begin: signing in, the subject, the admin, the watchdog's page."""

from __future__ import annotations

from django.contrib import admin
from django.urls import include, path

from husbandry import views

urlpatterns = [
    path("", include("husbandry.accounts.urls")),
    path("", include("enclosures.urls")),
    path("admin/", admin.site.urls),
    path("health/", views.health, name="health"),
]
