"""All addresses of the subject, grouped by the thing they hang on."""

from __future__ import annotations

from django.urls import path

from enclosures.views import home
from enclosures.views.coordinator import program
from enclosures.views.device import offline, roster, service_worker, take_over, token, unsent_entries
from enclosures.views.shared import animal_life, animals, enclosure_dashboard, enclosures, photo
from enclosures.views.staff import (
    add_photo,
    correct_entry,
    log_cleanout,
    log_dose,
    log_feeding,
    log_flow,
    log_health_note,
    log_sounding,
    log_upkeep,
    log_water_change,
    log_water_test,
    move_animals,
    my_last_entries,
    round_dose,
    round_sheet,
    round_stop,
    todays_round,
    undo_entry,
    undo_round_stop,
    weigh_animals,
    withdraw_entry,
)
from enclosures.views.supervisor import (
    coming_changes,
    doubtful_meals,
    edit_enclosure,
    feeding_plan,
    filter_preview,
    filters_that_need_you,
    foods,
    labels,
    past_forecasts,
    rebuild_filter,
    round_order,
    set_up_enclosure,
    settings,
    treatments,
    what_if,
)

urlpatterns = [
    path("", home.home, name="home"),
    # the round
    path("round/", todays_round.todays_round, name="todays-round"),
    path("round/sheet/", round_sheet.round_sheet, name="round-sheet"),
    path("round/order/", round_order.round_order, name="round-order"),
    path("round/<str:code>/", round_stop.round_stop, name="round-stop"),
    path("round/<str:code>/undo/", undo_round_stop.undo_round_stop, name="undo-round-stop"),
    path("round/<str:code>/doses/<str:treatment>/", round_dose.round_dose, name="round-dose"),
    path("round/<str:code>/doses/<str:treatment>/undo/", round_dose.undo_round_dose, name="undo-round-dose"),
    path("foods/", foods.foods, name="foods"),
    path("labels/", labels.labels, name="labels"),
    # the reading pages
    path("filters/", filters_that_need_you.filters_that_need_you, name="filters-that-need-you"),
    path("filters/record/", past_forecasts.past_forecasts, name="past-forecasts"),
    path("enclosures/", enclosures.enclosures, name="enclosures"),
    path("coming/", coming_changes.coming_changes, name="coming-changes"),
    # building and changing places and filters
    path("enclosures/new/", set_up_enclosure.set_up_enclosure, name="set-up-enclosure"),
    path("enclosures/<str:code>/edit/", edit_enclosure.edit_enclosure, name="edit-enclosure"),
    path("enclosures/<str:code>/plan/", feeding_plan.feeding_plan, name="feeding-plan"),
    path("enclosures/<str:code>/move/", move_animals.move_animals, name="move-animals"),
    path("filters/preview/", filter_preview.filter_preview, name="filter-preview"),
    path("filters/<str:code>/builds/new/", rebuild_filter.rebuild_filter, name="rebuild-filter"),
    path("filters/<str:code>/what-if/", what_if.what_if, name="what-if"),
    # logging: what is seen and done on a round
    path("enclosures/<str:code>/feedings/", log_feeding.log_feeding, name="log-feeding"),
    path("enclosures/<str:code>/water-tests/", log_water_test.log_water_test, name="log-water-test"),
    path("enclosures/<str:code>/water-changes/", log_water_change.log_water_change, name="log-water-change"),
    path("enclosures/<str:code>/weights/", weigh_animals.weigh_animals, name="weigh-animals"),
    path("enclosures/<str:code>/health-notes/", log_health_note.log_health_note, name="log-health-note"),
    path("filters/<str:code>/soundings/", log_sounding.log_sounding, name="log-sounding"),
    path("filters/<str:code>/flow-checks/", log_flow.log_flow, name="log-flow"),
    path("filters/<str:code>/cleanouts/", log_cleanout.log_cleanout, name="log-cleanout"),
    path("filters/<str:code>/upkeep/", log_upkeep.log_upkeep, name="log-upkeep"),
    # entries: taken back, put right, withdrawn
    path("entries/", my_last_entries.my_last_entries, name="my-last-entries"),
    path("entries/doubtful-meals/", doubtful_meals.doubtful_meals, name="doubtful-meals"),
    path("entries/<str:table>/<uuid:entry>/undo/", undo_entry.undo_entry, name="undo-entry"),
    path("entries/<str:table>/<uuid:entry>/correct/", correct_entry.correct_entry, name="correct-entry"),
    path("entries/<str:table>/<uuid:entry>/withdraw/", withdraw_entry.withdraw_entry, name="withdraw-entry"),
    path("entries/<str:table>/<uuid:entry>/photos/", add_photo.add_photo, name="add-photo"),
    path("photos/<uuid:entry>/", photo.photo, name="photo"),
    path("photos/<uuid:entry>/whole/", photo.photo_file, name="photo-file"),
    path("photos/<uuid:entry>/small/", photo.photo_thumbnail, name="photo-thumbnail"),
    path("enclosures/<str:code>/", enclosure_dashboard.enclosure_dashboard, name="enclosure-dashboard"),
    # animals
    path("animals/", animals.animals, name="animals"),
    path("animals/<str:code>/", animal_life.animal_life, name="animal-life"),
    path("animals/<str:code>/treatments/", treatments.treatments, name="treatments"),
    path("animals/<str:code>/treatments/<str:treatment>/doses/", log_dose.log_dose, name="log-dose"),
    # the device: what it keeps, what it needs to work without network
    path("device/token/", token.device_token, name="device-token"),
    path("device/roster/", roster.device_roster, name="device-roster"),
    path("device/offline/", offline.offline, name="offline"),
    path("device/secure/", offline.secure_address, name="secure-address"),
    path("device/outbox/", unsent_entries.unsent_entries, name="unsent-entries"),
    path("device/person/", take_over.take_over, name="take-over"),
    path("device/outbox/upload/", unsent_entries.upload_unsent, name="upload-unsent"),
    path("service-worker.js", service_worker.service_worker, name="service-worker"),
    path("manifest.webmanifest", service_worker.manifest, name="manifest"),
    # the records as a whole
    path("program/", program.program, name="program"),
    path("settings/", settings.settings, name="settings"),
]
