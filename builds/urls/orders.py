"""Addresses: orders."""

from django.urls import path

from builds.views import loom_order, orders, purchasing

urlpatterns = [
    path("orders/", orders.orders, name="orders"),
    path("calc/<int:loom_id>/order-wire/", loom_order.loom_order, name="loom-order"),
    path("orders/place/", orders.orders_place, name="orders-place"),
    path("orders/made/", purchasing.order_list, name="order-list"),
    path("orders/new/<int:supplier_id>/", purchasing.order_new, name="order-new"),
    path("orders/<int:order_id>/", purchasing.order, name="order"),
    path("orders/<int:order_id>/change/", purchasing.order_change, name="order-change"),
    path("orders/<int:order_id>/cancel/", purchasing.order_cancel, name="order-cancel"),
    path("orders/<int:order_id>/order.pdf", purchasing.order_paper, name="order-paper"),
    path("operations/<int:operation_id>/off-order/", purchasing.order_line_off, name="order-line-off"),
]
