"""Words as a search compares them."""

import unicodedata


def folded(text: str) -> str:
    """``text`` without capitals, accents or subscripts: "H₂" and "h2" are the same."""
    parts = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in parts if not unicodedata.combining(sign))
