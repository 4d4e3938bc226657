"""Addresses: cars."""

from django.urls import path

from builds.views import cars

urlpatterns = [
    path("", cars.cars, name="cars"),
    path("cars/<int:car_id>/", cars.car, name="car"),
]
