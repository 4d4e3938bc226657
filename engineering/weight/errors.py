"""What can be wrong with the figures given for a weight sheet."""


class WeightError(ValueError):
    """Base of every refusal of the weight core; its text is a sentence for people."""


class WeightInputError(WeightError):
    """One figure cannot be used.

    Attributes
    ----------
    field : str
        Name of the input at fault, with its unit: ``'wheelbase_mm'``, or ``'items[3].mass_kg'``.
    message : str
        What is wrong and what to do.
    """

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message
