"""Addresses: cars."""

from django.urls import path

from builds.views import car_edit, cars, certainty, prints

urlpatterns = [
    path("", cars.cars, name="cars"),
    path("cars/<int:car_id>/", cars.car, name="car"),
    path("cars/<int:car_id>/edit/", car_edit.car_edit, name="car-edit"),
    path("cars/<int:car_id>/where/", car_edit.car_where, name="car-where"),
    path("away/<int:away_id>/back/", car_edit.away_back, name="away-back"),
    path("away/<int:away_id>/change/", car_edit.away_change, name="away-change"),
    path("cars/<int:car_id>/promise/", car_edit.car_promise, name="car-promise"),
    path("cars/<int:car_id>/milestones/new/", car_edit.milestone_new, name="milestone-new"),
    path("milestones/<int:milestone_id>/", car_edit.milestone_edit, name="milestone-edit"),
    path("cars/<int:car_id>/certainty/", certainty.car_certainty, name="car-certainty"),
    path("promises/", certainty.promises, name="promises"),
    path("cars/<int:car_id>/job-list/", prints.car_job_list, name="car-job-list"),
    path("cars/<int:car_id>/progress/", prints.progress_sheets, name="progress-sheets"),
    path("cars/<int:car_id>/progress/new/", prints.progress_sheet_new, name="progress-sheet-new"),
    path("progress/<int:sheet_id>/", prints.progress_sheet, name="progress-sheet"),
]
