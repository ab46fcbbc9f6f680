"""Store or destroy the metal."""
