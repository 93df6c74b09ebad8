"""Geometry of flat pieces: paths, pieces, allowances, casings, seams. It knows no garment and touches no file."""
