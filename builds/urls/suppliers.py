"""Addresses: suppliers."""

from django.urls import path

from builds.views import suppliers

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
]
