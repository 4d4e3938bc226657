"""Addresses: orders."""

from django.urls import path

from builds.views import orders

urlpatterns = [
    path("orders/", orders.orders, name="orders"),
    path("orders/place/", orders.orders_place, name="orders-place"),
]
