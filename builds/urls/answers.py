"""Addresses: the batch calculation."""

from django.urls import URLPattern, path

from builds.views import finishing_answers

urlpatterns: list[URLPattern] = [
    path("finishing/lots/<int:lot_id>/", finishing_answers.finishing_lot, name="finishing-lot"),
    path(
        "finishing/lots/<int:lot_id>/choose/",
        finishing_answers.finishing_choose,
        name="finishing-choose",
    ),
]
