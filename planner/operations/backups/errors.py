"""What may go wrong with a copy."""


class BackupError(Exception):
    """A copy that cannot be made, is not whole, or cannot be put back."""
