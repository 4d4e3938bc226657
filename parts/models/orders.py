"""Purchase orders: what is bought from one supplier on one paper."""

from django.conf import settings
from django.db import models

from .suppliers import Supplier


class PurchaseOrder(models.Model):
    """Its lines are operations that supply a part; its number is its key."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="purchase_orders")
    ordered_on = models.DateField()
    ordered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    expected_on = models.DateField(null=True, blank=True)
    their_reference = models.CharField(max_length=60, blank=True)
    note = models.TextField("words to the supplier", blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"order {self.pk}"
