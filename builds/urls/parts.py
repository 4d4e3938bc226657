"""Addresses: parts, their route cards, and files."""

from django.urls import path

from builds.views import files, measuring, parts

urlpatterns = [
    path("parts/<int:part_id>/", parts.part, name="part"),
    path("parts/<int:part_id>/edit/", parts.part_edit, name="part-edit"),
    path("cars/<int:car_id>/parts/new/", parts.part_new, name="part-new"),
    path("parts/<int:part_id>/operations/new/", parts.operation_new, name="operation-new"),
    path("operations/<int:operation_id>/edit/", parts.operation_edit, name="operation-edit"),
    path("parts/<int:part_id>/check/", parts.part_check, name="part-check"),
    path("parts/<int:part_id>/operations/check/", parts.operation_new_check, name="operation-new-check"),
    path("operations/<int:operation_id>/check/", parts.operation_check, name="operation-check"),
    path("operations/<int:operation_id>/delete/", parts.operation_delete, name="operation-delete"),
    path("parts/<int:part_id>/measure/", measuring.part_measure, name="part-measure"),
    path("operations/<int:operation_id>/growth/", measuring.operation_growth, name="operation-growth"),
    path("files/add/", files.file_new, name="file-add"),
    path("files/<int:file_id>/", files.file, name="file"),
]
