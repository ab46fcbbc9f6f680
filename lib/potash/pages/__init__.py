"""The chapters as pages to read: HTML with pictures and formulas, without kernel and network."""

from potash.pages.page import write_pages
from potash.pages.running import PageNotMade

__all__ = ["PageNotMade", "write_pages"]
