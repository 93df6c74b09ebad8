"""Garments: body measurements, the design, the leg block and its elastics. It knows no page and touches no file."""
