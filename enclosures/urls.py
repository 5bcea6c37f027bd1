"""All addresses of the subject, grouped by the thing they hang on."""

from __future__ import annotations

from django.urls import path

from enclosures.views import home
from enclosures.views.coordinator import program
from enclosures.views.shared import animal_life, animals
from enclosures.views.staff import move_animals
from enclosures.views.supervisor import edit_enclosure, filter_preview, rebuild_filter, set_up_enclosure, settings

urlpatterns = [
    path("", home.home, name="home"),
    # building and changing places and filters
    path("enclosures/new/", set_up_enclosure.set_up_enclosure, name="set-up-enclosure"),
    path("enclosures/<str:code>/edit/", edit_enclosure.edit_enclosure, name="edit-enclosure"),
    path("enclosures/<str:code>/move/", move_animals.move_animals, name="move-animals"),
    path("filters/preview/", filter_preview.filter_preview, name="filter-preview"),
    path("filters/<str:code>/builds/new/", rebuild_filter.rebuild_filter, name="rebuild-filter"),
    # animals
    path("animals/", animals.animals, name="animals"),
    path("animals/<str:code>/", animal_life.animal_life, name="animal-life"),
    # the records as a whole
    path("program/", program.program, name="program"),
    path("settings/", settings.settings, name="settings"),
]
