"""Figures of what was drafted, for readers, spreadsheets and programs."""
