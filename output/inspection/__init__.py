"""Proofs: what a file or a folder holds, read back and held against what it says of itself."""
