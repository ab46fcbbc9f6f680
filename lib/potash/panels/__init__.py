"""The panels of the chapters: what a student sees, moves and types. All computing is elsewhere."""
