"""What can be wrong with a circuit."""


class LoomError(ValueError):
    """Base of every refusal of the loom core; its text is a sentence for people.

    Attributes
    ----------
    field : str
        Name of the input to change, with its unit; empty where it is the circuit as a whole.
    message : str
        What is wrong and what to do.
    """

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


class LoomInputError(LoomError):
    """One figure cannot be used."""


class NoWireError(LoomError):
    """The figures make sense, but no wire of the series passes every rule."""


class NoFuseError(LoomError):
    """The figures make sense, but no standard fuse can protect the circuit."""
