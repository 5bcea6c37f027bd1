"""All addresses of the subject, grouped by the thing they hang on."""

from __future__ import annotations

from django.urls import path

from enclosures.views import home
from enclosures.views.coordinator import program
from enclosures.views.shared import animal_life, animals
from enclosures.views.supervisor import settings

urlpatterns = [
    path("", home.home, name="home"),
    # animals
    path("animals/", animals.animals, name="animals"),
    path("animals/<str:code>/", animal_life.animal_life, name="animal-life"),
    # the records as a whole
    path("program/", program.program, name="program"),
    path("settings/", settings.settings, name="settings"),
]
