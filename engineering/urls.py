"""Addresses of calc sheets."""

from django.urls import path

from engineering import views

urlpatterns = [
    path("jobs/<int:job_id>/calc/", views.calc_sheet_list, name="calc-sheet-list"),
    path("jobs/<int:job_id>/calc/<str:kind>/new/", views.calc_sheet_new, name="calc-sheet-new"),
    path("jobs/<int:job_id>/calc/<str:kind>/try/", views.calc_sheet_try, name="calc-sheet-try"),
    path("calc/<int:sheet_id>/", views.calc_sheet, name="calc-sheet"),
    path("calc/<int:sheet_id>/revise/", views.calc_sheet_revise, name="calc-sheet-revise"),
    path("calc/<int:sheet_id>/revise/try/", views.calc_sheet_revise_try, name="calc-sheet-revise-try"),
    path("calc/<int:sheet_id>/part/", views.calc_sheet_part, name="calc-sheet-part"),
    path("calc/<int:sheet_id>/print/", views.calc_sheet_print, name="calc-sheet-print"),
    path("calc/<int:sheet_id>/table.csv", views.calc_sheet_table, name="calc-sheet-table"),
]
