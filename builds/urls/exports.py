"""Addresses: exports."""

from django.urls import URLPattern, path

from builds.views import exports

urlpatterns: list[URLPattern] = [
    path("export/", exports.export, name="export"),
    path("export/workbook/", exports.export_workbook, name="export-workbook"),
    path("export/csv/", exports.export_csv, name="export-csv"),
    path("cars/<int:car_id>/export/", exports.export_car, name="export-car"),
]
