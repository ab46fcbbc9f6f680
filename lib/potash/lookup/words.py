"""Words as a search compares them."""

import unicodedata


def folded(text: str) -> str:
    """``text`` without capitals, accents or subscripts: "H₂" and "h2" are the same."""
    # Twice, as Unicode defines a match without case (D146): a bold A is an A only when decomposed.
    parts = text
    for _ in range(2):
        parts = unicodedata.normalize("NFKD", parts.casefold())
    return "".join(sign for sign in parts if not unicodedata.combining(sign))
