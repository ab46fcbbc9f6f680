"""Pages beside the chapters: the way through them, search, terms, units, elements."""
