"""Report an honest yield."""
