"""The root of every error that Potash raises on purpose."""


class PotashError(ValueError):
    """Something given to Potash cannot be used.

    The message says what was given, what is wrong with it and what would be right; it is written
    for the person who typed it, so command line and panels show it as it stands.
    """
