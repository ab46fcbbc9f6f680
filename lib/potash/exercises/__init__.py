"""Exercises: the bank, own figures for each student, answer sheets, marking and the mark book."""
