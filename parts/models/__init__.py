"""What is made elsewhere: suppliers, processes, parts, their route cards, finishing batches and files."""

from .batches import FinishingBatch
from .files import StoredFile
from .operations import GoodsIn, Operation, Overrule, SupplierPromise
from .orders import PurchaseOrder
from .parts import Material, MaterialVerdict, Part, Process, TradeRule
from .suppliers import Call, Supplier, SupplierClosure, SupplierPrice

__all__ = [
    "Call",
    "FinishingBatch",
    "GoodsIn",
    "Material",
    "MaterialVerdict",
    "Operation",
    "Overrule",
    "Part",
    "Process",
    "PurchaseOrder",
    "StoredFile",
    "Supplier",
    "SupplierClosure",
    "SupplierPrice",
    "SupplierPromise",
    "TradeRule",
]
