"""Addresses of calc sheets."""

from django.urls import path

from engineering import loom_views, views
from engineering.bench import prints
from engineering.bench import views as bench

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
    path("jobs/<int:job_id>/calc/loom/workbook/", loom_views.loom_workbook_new, name="loom-workbook-new"),
    path("calc/<int:sheet_id>/workbook/", loom_views.loom_workbook, name="loom-workbook"),
    path("calc/<int:sheet_id>/bench/", bench.bench_take, name="bench-take"),
    path("calc/<int:loom_id>/labels/", prints.loom_labels, name="loom-labels"),
    path("calc/<int:loom_id>/pin-outs/", prints.loom_pin_outs, name="loom-pin-outs"),
    path("calc/<int:loom_id>/pin-outs/print/", prints.loom_pin_outs_print, name="loom-pin-outs-print"),
    path("calc/<int:loom_id>/board/", prints.loom_board, name="loom-board"),
    path("bench/<int:bench_id>/", bench.bench, name="bench"),
    path("bench/<int:bench_id>/tick/", bench.bench_tick, name="bench-tick"),
    path("bench/<int:bench_id>/changes/<int:change_id>/", bench.bench_change_seen, name="bench-change-seen"),
    path("bench/<int:bench_id>/wires/<int:laying_no>/", bench.bench_wire, name="bench-wire"),
    path(
        "bench/<int:bench_id>/readings/<int:reading_id>/take-back/",
        bench.bench_reading_take_back,
        name="bench-reading-take-back",
    ),
]
