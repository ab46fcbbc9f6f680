"""Moments as a student reads them: the local time of day, with the date if it was another day."""

from datetime import datetime


def clock(at: str) -> str:
    """The local time of a recorded moment (RFC 3339)."""
    moment = datetime.fromisoformat(at).astimezone()
    today = moment.date() == datetime.now().astimezone().date()
    return f"{moment:%H:%M}" if today else f"{moment:%d %B %Y, %H:%M}"


def now() -> str:
    """The local time of day."""
    return f"{datetime.now().astimezone():%H:%M}"
