"""Addresses: starting a car, and reading lists from files."""

from django.urls import URLPattern, path

from builds.views import imports, start

urlpatterns: list[URLPattern] = [
    path("cars/start/", start.car_start, name="car-start"),
    path("cars/start/template/", start.car_start_template, name="car-start-template"),
    path("cars/start/copy/", start.car_start_copy, name="car-start-copy"),
    path("cars/start/file/", imports.car_start_file, name="car-start-file"),
    path("cars/<int:car_id>/import/jobs/", imports.import_jobs, name="import-jobs"),
    path("cars/<int:car_id>/import/parts/", imports.import_parts, name="import-parts"),
    path("import/confirm/", imports.import_confirm, name="import-confirm"),
    path("import/example/<str:kind>.<str:ending>", imports.import_example, name="import-example"),
]
