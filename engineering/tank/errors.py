"""What can be wrong with the figures given for a tank."""


class TankError(ValueError):
    """Base of every refusal of the tank core; its text is a sentence for people."""


class TankInputError(TankError):
    """One figure cannot be used.

    Attributes
    ----------
    field : str
        Name of the input at fault, with its unit, for example ``'thickness_mm'``.
    message : str
        What is wrong and what to do.
    """

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message
