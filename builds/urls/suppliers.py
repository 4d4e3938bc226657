"""Addresses: suppliers."""

from django.urls import path

from builds.views import supplier_prices, suppliers

urlpatterns = [
    path("suppliers/", suppliers.suppliers, name="suppliers"),
    path("suppliers/new/", suppliers.supplier_new, name="supplier-new"),
    path("suppliers/<int:supplier_id>/", suppliers.supplier, name="supplier"),
    path("suppliers/<int:supplier_id>/edit/", suppliers.supplier_edit, name="supplier-edit"),
    path(
        "suppliers/<int:supplier_id>/closures/new/",
        suppliers.supplier_closure_new,
        name="supplier-closure-new",
    ),
    path(
        "supplier-closures/<int:closure_id>/delete/",
        suppliers.supplier_closure_delete,
        name="supplier-closure-delete",
    ),
    path(
        "suppliers/<int:supplier_id>/prices/new/",
        supplier_prices.supplier_price_new,
        name="supplier-price-new",
    ),
    path(
        "supplier-prices/<int:price_id>/edit/",
        supplier_prices.supplier_price_edit,
        name="supplier-price-edit",
    ),
    path(
        "supplier-prices/<int:price_id>/delete/",
        supplier_prices.supplier_price_delete,
        name="supplier-price-delete",
    ),
]
