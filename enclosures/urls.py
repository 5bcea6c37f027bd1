"""All addresses of the subject, grouped by the thing they hang on."""

from __future__ import annotations

from django.urls import path

from enclosures.views import home

urlpatterns = [
    path("", home.home, name="home"),
]
