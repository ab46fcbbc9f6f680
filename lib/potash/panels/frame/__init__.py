"""What every panel stands in: its shell, its look, its pictures, and how a hand moves them."""
